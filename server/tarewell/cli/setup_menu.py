"""The menu from a set-up file, without a daemon. None of its channels has ever poured."""

from pathlib import Path

from tarewell.menu.values import Bottle, ChannelFacts, Menu
from tarewell.quantities.units import SmallMeasures
from tarewell.setup_file.reading import SetupFaultsError, read_setup
from tarewell.setup_file.setup import Setup
from tarewell.weighing.scale import ScaleRating

from .failures import CliError, ExitCode


def menu_of(file: Path, small: SmallMeasures) -> tuple[Menu, list[Bottle]]:
    """The menu and all bottles of a set-up file; `small` gives the sizes of dash and barspoon.

    Raises:
        CliError: the file cannot be read, or has faults; the message lists all.
    """
    try:
        setup = read_setup(file.read_text("utf-8"), Setup(), small)
    except OSError as error:
        raise CliError(
            f"{file} cannot be read: {error.strerror}; name a set-up file", ExitCode.USAGE
        ) from error
    except UnicodeDecodeError as error:
        raise CliError(
            f"{file} is not UTF-8 at byte {error.start}; save it as UTF-8", ExitCode.USAGE
        ) from error
    except SetupFaultsError as error:
        lines = [f"{file}:{fault.line or 1}: {fault.pointer}: {fault.message}" for fault in error.faults]
        raise CliError("\n".join([str(error), *lines]), ExitCode.REFUSED) from error
    mounted = {bottle.channel: bottle for bottle in setup.bottles.values() if bottle.channel is not None}
    channels = {
        number: ChannelFacts(number, channel.liquid_id, mounted.get(number))
        for number, channel in setup.channels.items()
    }
    menu = Menu(setup.liquids, setup.glasses, setup.recipes, channels, ScaleRating().max_g)
    return menu, list(setup.bottles.values())
