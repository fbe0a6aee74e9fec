"""Run the command line as ``python -m kitreckon``."""

import sys

from kitreckon.commands import main

sys.exit(main())
