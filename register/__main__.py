"""`python3 -m register`: the command line, after making a fresh checkout ready."""

import sys

from resources import start

if __name__ == "__main__":
    try:
        start.ensure("register")
        from register.cli.main import main

        sys.exit(main())
    except KeyboardInterrupt:  # before anything was begun
        sys.exit(130)
