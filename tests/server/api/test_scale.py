from dataclasses import replace

import httpx
import pytest

from machine_double import MachineDouble


async def test_tare_and_its_end(client: httpx.AsyncClient) -> None:
    assert (await client.get("/v1/scale")).json()["net_g"] == 251.3
    tared = (await client.post("/v1/scale/tare")).json()
    assert (tared["gross_g"], tared["net_g"], tared["tare_g"]) == (251.3, 0.0, 251.3)
    assert (await client.delete("/v1/scale/tare")).json()["net_g"] == 251.3


async def test_zero_shows_the_reading(client: httpx.AsyncClient) -> None:
    reply = await client.post("/v1/scale/zero")
    assert reply.status_code == 200
    assert reply.json()["stable"] is True


@pytest.mark.parametrize("path", ["zero", "tare", "calibration/empty"])
async def test_a_moving_scale_refuses_with_the_cure(
    client: httpx.AsyncClient, machine: MachineDouble, path: str
) -> None:
    assert machine.indication is not None
    machine.indication = replace(machine.indication, stable=False)
    reply = await client.post(f"/v1/scale/{path}")
    assert reply.status_code == 409
    assert reply.json()["type"] == "/problems/scale-not-ready"
    assert "wait until nothing moves" in reply.json()["detail"]


async def test_without_a_reading_there_is_none_to_show(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    machine.indication = None
    machine.blockers = ("the board does not answer",)
    reply = await client.get("/v1/scale")
    assert reply.status_code == 503
    assert reply.json()["blockers"] == ["the board does not answer"]
    assert reply.json()["detail"] == "the scale has no reading; the board does not answer"
    zero = await client.post("/v1/scale/zero")
    assert (zero.status_code, zero.json()["type"]) == (409, "/problems/machine-not-ready")


async def test_calibration_in_two_steps(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    assert (await client.get("/v1/scale/calibration")).status_code == 404
    assert machine.indication is not None
    machine.indication = replace(machine.indication, counts=-84000)
    empty_counts = (await client.post("/v1/scale/calibration/empty")).json()["empty_counts"]
    machine.indication = replace(machine.indication, counts=1016000)
    done = await client.post(
        "/v1/scale/calibration", json={"empty_counts": empty_counts, "reference_g": 500.0}
    )
    assert done.json()["counts_per_g"] == 2200.0  # 1,100,000 counts for 500 g
    kept = (await client.get("/v1/scale/calibration")).json()
    assert (kept["zero_counts"], kept["counts_per_g"], kept["how"]) == (-84000.0, 2200.0, "two_point")
    assert kept["calibrated_at"].startswith("2031-03-14T")


async def test_a_calibration_that_would_not_weigh_is_refused(client: httpx.AsyncClient) -> None:
    body = {"empty_counts": 472165, "reference_g": 500}
    reply = await client.post("/v1/scale/calibration", json=body)
    assert reply.status_code == 422
    assert reply.json()["type"] == "/problems/calibration-refused"


async def test_an_unlikely_calibration_is_questioned_and_kept_if_accepted(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    machine.unlikely = True
    body = {"empty_counts": -84000, "reference_g": 200.0}
    reply = await client.post("/v1/scale/calibration", json=body)
    assert (reply.status_code, reply.json()["type"]) == (422, "/problems/calibration-unlikely")
    assert "did you put 200 g on?" in reply.json()["detail"]
    assert (await client.get("/v1/scale/calibration")).status_code == 404
    reply = await client.post("/v1/scale/calibration", json=body | {"accept_unlikely": True})
    assert reply.status_code == 200


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"empty_counts": 0}, "/reference_g"),
        ({"empty_counts": 0, "reference_g": 0}, "/reference_g"),
        ({"empty_counts": 0, "reference_g": -500}, "/reference_g"),
        ({"empty_counts": "0", "reference_g": 500}, "/empty_counts"),
        ({"empty_counts": 1e300, "reference_g": 500}, "/empty_counts"),
        ({"empty_counts": -8388609, "reference_g": 500}, "/empty_counts"),
        ({"empty_counts": 0, "reference_g": 500, "unit": "lb"}, "/unit"),
        ({"empty_counts": 0, "reference_g": 500, "accept_unlikely": "yes"}, "/accept_unlikely"),
    ],
)
async def test_bad_calibration_bodies(
    client: httpx.AsyncClient, body: dict[str, object], pointer: str
) -> None:
    reply = await client.post("/v1/scale/calibration", json=body)
    assert reply.status_code == 422
    assert [error["pointer"] for error in reply.json()["errors"]] == [pointer]


async def test_corners_are_judged_and_written_down(client: httpx.AsyncClient) -> None:
    body = {"reference_g": 500.0, "readings_g": [500.1, 499.9, 500.0, 499.5]}
    judged = await client.post("/v1/scale/corners", json=body)
    assert judged.json() == {"errors_g": [0.1, -0.1, 0.0, -0.5], "limit_g": 0.3, "within": False}
    (newest, *_) = (await client.get("/v1/journal/entries")).json()
    assert (newest["kind"], newest["body"]["readings_g"]) == ("corners_checked", body["readings_g"])
    assert (await client.post("/v1/scale/corners", json={**body, "readings_g": [500.0]})).status_code == 422
