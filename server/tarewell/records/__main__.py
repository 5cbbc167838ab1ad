"""`python -m tarewell.records PATH`: upgrades a database to the newest schema."""

import sys
from pathlib import Path

from .errors import StoreError
from .migrate import upgrade

try:
    upgrade(Path(sys.argv[1]))
except StoreError as error:
    sys.exit(str(error))
