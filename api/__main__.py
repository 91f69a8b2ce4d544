"""Run the command as `python -m api`."""

from __future__ import annotations

import sys

from api.command.main import main

if __name__ == "__main__":
    sys.exit(main())
