"""The comparison as a workbook: one table of live formulas, and two charts of it."""

from __future__ import annotations

from pathlib import Path

from openpyxl.chart import BarChart, Reference, ScatterChart, Series
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.utils import get_column_letter

from shadewright.answers import Choice
from shadewright.cloth.plan import Plan
from shadewright.measure import TICKS, Unit
from shadewright.report.sheets import looks
from shadewright.report.sheets.book import PlanBook
from shadewright.report.sheets.cells import put_headings, put_lines, put_section, put_title
from shadewright.report.sheets.sheet import Column, Sheet, Value, live
from shadewright.report.work.cautions import CAUTIONS, first_of_all
from shadewright.report.work.comparison import Comparison, bought, called, proof
from shadewright.report.work.ways import HEADINGS
from shadewright.report.work.words import clean, has_prices

_BAR = "5B7F86"
_LINE_COLOUR = "8A5A44"
_SIZE = 10, 7  # of a chart, in cm: two stand side by side
_CHART_ROWS, _CHART_ROW = 17, 14.0  # that a chart lies over, and their height in points


def write_comparison(path: Path, comparison: Comparison) -> None:
    """Write the comparison as a workbook; `path` is overwritten.

    Raises:
        OSError: the file cannot be written.
    """
    job = comparison.job
    book = PlanBook(job, ["Compare"])
    (sheet,) = book.sheets
    per = job.tape.cloth_unit
    columns = (
        Column("Made this way", 24, 34),
        Column(f"Buy, {per}", 11, 16, "right"),
        Column(f"Use, {per}", 11, 16, "right"),
        Column("Money", 12, 18, "right"),
        Column("Shades", 9, 12, "right"),
        Column("Waste", 9, 12, "right"),
        Column(f"More than plain, {per}", 12, 16, "right"),
        Column("Money more than plain", 13, 18, "right"),
        Column("Best?", 18, 24, "center"),
    )
    sheet.columns = columns
    row = put_title(sheet, clean(job.title), ("The same job made in several ways.",))
    row = put_lines(sheet, row, (*first_of_all(job), *comparison.conclusions))
    base: tuple[int, Plan] | None = None
    spans: dict[Choice, tuple[int, int]] = {}
    for choice, these in comparison.by_choice.items():
        table = put_headings(sheet, put_section(sheet, row + 1, HEADINGS[choice]), columns)
        for answer, plan in ((a, a.plan) for a in these if a.plan):
            row = table.next
            if plan is comparison.base and base is None:
                base = row, plan
            priced = has_prices(job, plan)
            table.add(
                comparison.named(answer),
                Value(bought(plan) / TICKS[per], looks.QUANTITY),
                Value(round(plan.proof.used / TICKS[per], 3), looks.QUANTITY),
                Value(plan.totals.cost, looks.MONEY) if priced else "",
                Value(plan.totals.shades, looks.COUNT),
                Value(plan.totals.waste, looks.SHARE),
                *_more_than(base, row, plan, per, priced),
                proof(plan),
            )
        spans[choice] = table.head + 1, table.last
        # A table of a few rows is not parted.
        for each in range(table.head, table.last):
            sheet.keep_with_next(each)
        others = [comparison.unmade(answer) for answer in these if answer.plan is None]
        others += [
            f"{called(answer)}: {remark[0].lower()}{remark[1:]}"
            for answer in these
            for remark in comparison.remarks(answer)
            if answer.plan is not None
        ]
        row = put_lines(sheet, table.next, others)
    row = put_lines(sheet, row + 1, CAUTIONS)
    _charts(sheet, row, spans, per)
    book.save(path)


def _more_than(
    base: tuple[int, Plan] | None, row: int, plan: Plan, per: Unit, priced: bool
) -> tuple[Value | str, Value | str]:
    """How much more cloth and money a plan takes than the one in the row of the base."""
    if base is None:
        return "", ""
    at, first = base
    more = (bought(plan) - bought(first)) / TICKS[per]
    money = live(f"D{row}-D${at}", looks.MONEY, plan.totals.cost - first.totals.cost)
    return live(f"B{row}-B${at}", looks.QUANTITY, more), money if priced else ""


def _charts(sheet: Sheet, row: int, spans: dict[Choice, tuple[int, int]], per: str) -> None:
    """Bars of what each strategy buys, and cloth against number of shades."""
    drawn = 0
    if "strategies" in spans and spans["strategies"][0] < spans["strategies"][1]:
        first, last = spans["strategies"]
        bars = BarChart()
        bars.type = "bar"
        bars.title = f"To buy, {per}"
        bars.add_data(Reference(sheet.page, min_col=2, min_row=first, max_row=last))
        bars.set_categories(Reference(sheet.page, min_col=1, min_row=first, max_row=last))
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
        sheet.page.add_chart(bars, f"A{row}")
        drawn += 1
    if "shades" in spans and spans["shades"][0] < spans["shades"][1]:
        first, last = spans["shades"]
        points = ScatterChart()
        points.title = "Cloth against number of shades"
        points.style = 13
        series = Series(
            Reference(sheet.page, min_col=2, min_row=first, max_row=last),
            Reference(sheet.page, min_col=5, min_row=first, max_row=last),
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
        sheet.page.add_chart(points, f"{get_column_letter(6 if drawn else 1)}{row}")
        drawn += 1
    sheet.page.print_area = f"A1:I{row + _CHART_ROWS if drawn else row - 1}"
    # No page cuts a chart.
    for each in range(row, row + _CHART_ROWS if drawn else row):
        sheet.set_height(each, _CHART_ROW)
        sheet.keep_with_next(each)
