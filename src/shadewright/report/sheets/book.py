"""A workbook while it is written, and how it gets into its file."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

from openpyxl import Workbook
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.job.model import Job
from shadewright.report.sheets import looks
from shadewright.report.sheets.sheet import Sheet, StyleNumbers
from shadewright.report.work.cautions import ON_EVERY_PAGE
from shadewright.report.work.words import brief, clean

_EMPTY = (b"<sheetData />", b"<sheetData/>", b"<sheetData></sheetData>")
_PACKING = 4
"""How hard a file is packed: harder takes longer, and saves little."""


class PlanBook:
    """A workbook about a job, with empty sheets of these names."""

    def __init__(self, job: Job, names: Sequence[str]) -> None:
        self._book = Workbook()
        assert isinstance(self._book.active, Worksheet)
        self._book.remove(self._book.active)
        # Column widths are counted in digits of the default style's font.
        normal = self._book._named_styles["Normal"]  # type: ignore[attr-defined] # no public way
        normal.font = looks.NOTE.made().font
        assert self._book.calculation is not None
        self._book.calculation.fullCalcOnLoad = True
        self._book.properties.title = clean(job.title)
        self._book.properties.creator = "shadewright"
        styles = StyleNumbers(self._book)
        self.sheets = [Sheet(self._book.create_sheet(name), styles) for name in names]
        for sheet in self.sheets:
            _set_page(sheet.page, job)

    def save(self, path: Path) -> None:
        """Write the file; `path` is overwritten.

        Raises:
            OSError: it cannot be written.
        """
        for sheet in self.sheets:
            sheet.finish()
        held = BytesIO()
        self._book.save(held)
        rows = {f"xl/worksheets/sheet{n}.xml": each for n, each in enumerate(self.sheets, 1)}
        with (
            ZipFile(held) as bare,
            ZipFile(path, "w", ZIP_DEFLATED, compresslevel=_PACKING) as whole,
        ):
            for part in bare.infolist():
                data = bare.read(part)
                if part.filename in rows:
                    data = _filled(data, rows[part.filename])
                whole.writestr(part, data, compresslevel=_PACKING)


def _filled(page: bytes, sheet: Sheet) -> bytes:
    """A sheet's page with its rows in it."""
    (empty,) = (each for each in _EMPTY if each in page)
    return page.replace(empty, sheet.xml().encode("utf-8"))


def _set_page(page: Worksheet, job: Job) -> None:
    """Landscape, one page wide, with the job's title and the page's number."""
    page.page_setup.orientation = "landscape"
    page.page_setup.paperSize = 9 if job.metric else 1  # A4, or Letter
    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    page.page_setup.fitToWidth = 1
    page.page_setup.fitToHeight = 0
    margins = page.page_margins
    margins.left = margins.right = 0.45
    margins.top, margins.bottom, margins.header, margins.footer = 0.6, 0.5, 0.28, 0.22
    title = brief(clean(job.title), 70).replace("&", "&&")
    assert page.oddHeader is not None
    assert page.oddFooter is not None
    page.oddHeader.left.text = title
    page.oddHeader.right.text = "&A"
    page.oddFooter.center.text = f"Page &P of &N     &7{ON_EVERY_PAGE}"
    page.sheet_view.showGridLines = False
