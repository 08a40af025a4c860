"""The comparison as a workbook: one table of live formulas, and two charts of it."""

from __future__ import annotations

from pathlib import Path

from openpyxl.chart import BarChart, Reference, ScatterChart, Series
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.answers import Choice
from shadewright.measure import TICKS
from shadewright.report.sheets import looks
from shadewright.report.sheets.cells import (
    Column,
    Value,
    live,
    new_book,
    put_across,
    put_headings,
    put_lines,
    put_title,
    set_widths,
)
from shadewright.report.work.cautions import CAUTIONS, first_of_all
from shadewright.report.work.comparison import Comparison, bought, called, proof, unmade
from shadewright.report.work.ways import HEADINGS
from shadewright.report.work.words import clean, has_prices

_BAR = "5B7F86"
_LINE_COLOUR = "8A5A44"
_SIZE = 14, 8  # of a chart, in cm


def write_comparison(path: Path, comparison: Comparison) -> None:
    """Write the comparison as a workbook; `path` is overwritten.

    Raises:
        OSError: the file cannot be written.
    """
    job = comparison.job
    book, (sheet,) = new_book(job, ["Compare"])
    per = job.tape.cloth_unit
    columns = (
        Column("Made this way", 30),
        Column(f"Buy, {per}", 11, "right"),
        Column(f"Use, {per}", 11, "right"),
        Column("Money", 12, "right"),
        Column("Shades", 9, "right"),
        Column("Waste", 9, "right"),
        Column(f"More than plain, {per}", 12, "right"),
        Column("Money more than plain", 13, "right"),
        Column("Best?", 18, "center"),
    )
    set_widths(sheet, columns)
    row = put_title(sheet, clean(job.title), ("The same job made in several ways.",), len(columns))
    row = put_lines(sheet, row, (*first_of_all(job), *comparison.conclusions), len(columns))
    base_row: int | None = None
    spans: dict[Choice, tuple[int, int]] = {}
    for choice, these in comparison.by_choice.items():
        put_across(sheet, row + 1, HEADINGS[choice], len(columns), bold=True)
        table = put_headings(sheet, row + 2, columns)
        for answer, plan in ((a, a.plan) for a in these if a.plan):
            row = table.next
            if plan is comparison.base and base_row is None:
                base_row = row
            priced = has_prices(job, plan)
            table.add(
                called(answer),
                Value(bought(plan) / TICKS[per], looks.QUANTITY),
                Value(round(plan.proof.used / TICKS[per], 3), looks.QUANTITY),
                Value(plan.totals.cost, looks.MONEY) if priced else "",
                Value(plan.totals.shades, looks.COUNT),
                Value(plan.totals.waste, looks.SHARE),
                live(f"B{row}-B${base_row}", looks.QUANTITY) if base_row else "",
                live(f"D{row}-D${base_row}", looks.MONEY) if base_row and priced else "",
                proof(plan),
            )
        spans[choice] = table.head + 1, table.last
        others = [unmade(answer) for answer in these if answer.plan is None]
        others += [
            f"{called(answer)}: {remark[0].lower()}{remark[1:]}"
            for answer in these
            for remark in comparison.remarks(answer)
            if answer.plan is not None
        ]
        row = put_lines(sheet, table.next, others, len(columns))
    row = _charts(sheet, row + 1, spans, per)
    put_lines(sheet, row, CAUTIONS, len(columns))
    book.save(path)


def _charts(sheet: Worksheet, row: int, spans: dict[Choice, tuple[int, int]], per: str) -> int:
    """Bars of what each strategy buys, and cloth against number of shades; gives the next row."""
    drawn = 0
    if "strategies" in spans and spans["strategies"][0] < spans["strategies"][1]:
        first, last = spans["strategies"]
        bars = BarChart()
        bars.type = "bar"
        bars.title = f"To buy, {per}"
        bars.add_data(Reference(sheet, min_col=2, min_row=first, max_row=last))
        bars.set_categories(Reference(sheet, min_col=1, min_row=first, max_row=last))
        bars.series[0].graphicalProperties = GraphicalProperties(solidFill=_BAR)
        bars.dataLabels = DataLabelList()
        bars.dataLabels.showVal = True
        for off in ("showSerName", "showCatName", "showLegendKey"):
            setattr(bars.dataLabels, off, False)
        bars.legend = None
        bars.y_axis.scaling.min = 0
        bars.x_axis.scaling.orientation = "maxMin"
        bars.x_axis.delete = bars.y_axis.delete = False
        bars.width, bars.height = _SIZE
        sheet.add_chart(bars, f"A{row}")
        drawn += 1
    if "shades" in spans and spans["shades"][0] < spans["shades"][1]:
        first, last = spans["shades"]
        points = ScatterChart()
        points.title = "Cloth against number of shades"
        points.style = 13
        series = Series(
            Reference(sheet, min_col=2, min_row=first, max_row=last),
            Reference(sheet, min_col=5, min_row=first, max_row=last),
        )
        series.marker.symbol = "circle"
        series.smooth = False
        series.graphicalProperties.line.solidFill = _LINE_COLOUR
        series.marker.graphicalProperties = GraphicalProperties(solidFill=_LINE_COLOUR)
        points.series.append(series)
        points.legend = None
        points.x_axis.title, points.y_axis.title = "shades to sew", f"to buy, {per}"
        points.x_axis.delete = points.y_axis.delete = False
        points.x_axis.number_format = points.y_axis.number_format = "General"
        points.width, points.height = _SIZE
        sheet.add_chart(points, f"{get_column_letter(5 if drawn else 1)}{row}")
        drawn += 1
    return row + 17 if drawn else row
