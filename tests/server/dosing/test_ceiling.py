"""The mass ceiling of a run fits what the converter can read, whatever the calibration."""

import pytest

from tarewell.dosing import events as e
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.weighing_pour import WeighingPour
from tarewell.weighing.calibration import Calibration
from tarewell_protocol.codec import encode_request
from tarewell_protocol.messages import COUNTS_MAX, COUNTS_MIN, Request, Run, Sample

GLASS_G = 250.0


def _first_run(calibration: Calibration) -> Run:
    pour = WeighingPour(PourSetup(PourPlan((DosePlan(1, "house-water", 45.0),)), calibration))
    outputs = pour.handle(e.PourCommanded(e.PourCommand.START), 0.0)
    for count in range(1, 200):
        counts = round(calibration.counts(GLASS_G)) + count % 7
        outputs += pour.handle(e.Weighed(Sample(round(12.5 * count), count, counts, 0)), count / 80)
        for output in outputs:
            if isinstance(output, e.RunPump):
                return output.run
    raise AssertionError(f"no pump was started: {outputs}")


@pytest.mark.parametrize(
    ("calibration", "ceiling_counts"),
    [
        (Calibration(7_800_000.0, 2147.48), COUNTS_MAX),
        (Calibration(-7_800_000.0, -2147.48), COUNTS_MIN),
    ],
    ids=["beyond the top", "beyond the bottom, for a cell that falls with load"],
)
def test_a_ceiling_beyond_the_converter_is_its_last_count(
    calibration: Calibration, ceiling_counts: int
) -> None:
    run = _first_run(calibration)
    assert run.ceiling_counts == ceiling_counts
    assert run.ceiling_above == (ceiling_counts > 0)
    encode_request(Request(1, run))  # the wire takes it


def test_a_ceiling_within_the_converter_is_glass_drink_and_margin() -> None:
    calibration = Calibration(-84_000.0, 2147.48)
    ceiling_g = calibration.grams(_first_run(calibration).ceiling_counts)
    assert ceiling_g == pytest.approx(GLASS_G + 45.0 + 30.0, abs=0.1)
