"""`python3 -m ui`: the window, after making a fresh checkout ready."""

import sys

from resources import start

if __name__ == "__main__":
    start.ensure("ui")
    from ui.app import main

    sys.exit(main())
