"""What the program reads and never writes: rulebooks and what makes a fresh checkout ready."""

from pathlib import Path
from typing import Final

RESOURCES: Final = Path(__file__).parent
"""Where they are, from a checkout and from an installed program alike."""
