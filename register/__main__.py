"""`python3 -m register`: the command line, after making a fresh checkout ready."""

import sys

from resources import start

if __name__ == "__main__":
    start.ensure("register")
    from register.cli.main import main

    sys.exit(main())
