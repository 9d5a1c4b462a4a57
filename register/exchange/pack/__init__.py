"""Field packs as files: written by the office, opened on a laptop without network, and the work that comes back."""

from register.exchange.pack.back import merge_file, write_work
from register.exchange.pack.container import PACK_ENDING, WORK_ENDING
from register.exchange.pack.out import open_pack, write_pack

__all__ = ["PACK_ENDING", "WORK_ENDING", "merge_file", "open_pack", "write_pack", "write_work"]
