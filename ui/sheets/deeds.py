"""What the actions of spreadsheets do. Their dialogs are loaded when asked for, so that the window is there sooner."""

from functools import partial
from typing import Final

from register.services.finding import site_choices
from ui.program import Program

WORKBOOK: Final = "Workbook (*.xlsx)"
SHEETS: Final = "Spreadsheet (*.xlsx *.xlsm *.csv *.txt)"


def offer(program: Program) -> None:
    """Say what the actions of spreadsheets do."""
    deeds = program.frame.deeds
    deeds.offer("sheet.take-in", partial(_take_in, program))
    deeds.offer("sheet.owner", partial(_hand_out, program))
    deeds.offer("sheet.answers", partial(_take_answers, program))
    deeds.offer("sheet.queries", partial(_answer_queries, program))


def _take_in(program: Program) -> None:
    from ui.sheets.take_in import TakeInDialog

    path = program.messages.open_file("Take in a spreadsheet", SHEETS)
    if path is not None:
        program.jobs.ask(site_choices, lambda sites: TakeInDialog(program.frame, program.desk, path, sites).open())


def _hand_out(program: Program) -> None:
    from register.services.owners.all_sites import owners_of_several
    from ui.sheets.owner_book import OwnerBookDialog

    chosen = program.frame.front.site_in_view()
    program.jobs.ask(
        lambda connection: (site_choices(connection), owners_of_several(connection)),
        lambda both: OwnerBookDialog(program.frame, program.desk, both[0], chosen, both[1]).open(),
    )


def _take_answers(program: Program) -> None:
    from ui.sheets.owner_answers import OwnerAnswersDialog

    path = program.messages.open_file("Take in the owner's answers", WORKBOOK)
    if path is not None:
        OwnerAnswersDialog(program.frame, program.desk, path).open()


def _answer_queries(program: Program) -> None:
    from ui.sheets.queries import QueriesDialog

    QueriesDialog(program.frame, program.desk).open()
