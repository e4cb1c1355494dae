"""What the server runs for every visitor; see `main`."""

import sys

from optioneer.app.main import run

run(sys.argv[1:])
