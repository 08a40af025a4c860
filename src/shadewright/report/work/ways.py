"""What a job is compared by, in words; nothing is loaded for it, so that help comes at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shadewright.answers import Choice

HEADINGS: dict[Choice, str] = {
    "strategies": "Matching the repeat",
    "hems": "Side hems",
    "lay": "How the cloth lies",
    "alike": "Copies of an opening",
    "table": "Length of the table",
    "shades": "Cloth against number of shades",
}

STRATEGY_WORDS = {
    "plain": "plain, no matching",
    "level": "level",
    "centred": "centred on a motif",
    "centred-alternate": "centred, alternating",
    "centred-between": "centred between motifs",
    "centred-between-alternate": "between, alternating",
    "continuous": "continuous print",
}
