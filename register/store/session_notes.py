"""What a change notes about itself in its session, under these names."""

from typing import Final

LAST_EVENT: Final = "id of the last event that it wrote"
