"""The owner workbook: one site's register as a spreadsheet that an owner can read, question and keep."""

from register.exchange.workbook.owner_workbook import WrittenWorkbook, write_owner_workbook

__all__ = ["WrittenWorkbook", "write_owner_workbook"]
