"""The demo command: the whole job at once, on invented data."""

import tempfile
from dataclasses import asdict
from pathlib import Path

from register.cli.context import Context
from register.cli.output import print_json
from register.demo import demo_text, run_demo


def demo(call: Context) -> None:
    """Build a register from the sample sites, say what is overdue and why, test, withdraw, write the workbooks."""
    out = getattr(call.options, "out", None) or Path(tempfile.mkdtemp(prefix="retest-register-"))
    report = run_demo(call.today, out, at=call.now)
    if call.json:
        print_json(asdict(report))
        return
    print(demo_text(report))
