"""The pages of the window, in the order of the bar."""

from typing import Final

from ui.bench.page import BenchPage
from ui.firm.page import FirmPage
from ui.horizon.page import HorizonPage
from ui.page import Page
from ui.register_page.page import RegisterPage
from ui.withdrawn.page import WithdrawnPage

MAKERS: Final[tuple[type[Page], ...]] = (HorizonPage, RegisterPage, BenchPage, WithdrawnPage, FirmPage)
