"""How large what is read may be: every limit, its unit, and why it is there.

A limit is far beyond anything that is made by hand or by this program, and near enough that
whatever passes it is refused before it has taken much time or memory.
"""

from __future__ import annotations

# --- files --------------------------------------------------------------------------------------

LARGEST_FILE = 10_000_000
"""Bytes of a job or a workbook as it lies on disk. A long job takes some 20 kB, the workbook of a
plan of a thousand shades 1 MB; a device or a film would fill the memory."""

LARGEST_PLAN = 50_000_000
"""Bytes of a plan file. A shade takes some 3 kB of it, and ten times that as it is read."""

LARGEST_PARTS = 24_000_000
"""Bytes, unpacked, of all that is read of a workbook: its list of sheets, its texts, its styles,
and the sheets that are asked for. A packed file can be a thousand times smaller."""

MOST_ELEMENTS = 1_000_000
"""Elements of XML in all that is read of a workbook, about two for a cell; a second's reading."""

MOST_PARTS = 5_000
"""Files packed in a workbook; each picture and each sheet is one or two."""

# --- sheets of a job ----------------------------------------------------------------------------

MOST_ROWS = 1_000
"""Rows of a job's sheet: more openings of different sizes than one house has."""

MOST_COLUMNS = 50
"""Columns of a job's sheet, some of them the maker's own; the widest has about twenty."""
