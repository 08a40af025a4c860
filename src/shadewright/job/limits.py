"""How much may be read, and how much a job may ask for: every limit, its unit, and its reason.

A limit is far beyond anything that is made by hand or by this program, and near enough that
whatever passes it is refused before it has taken much time or memory.
"""

from __future__ import annotations

from shadewright.measure import TICKS, Ticks

# --- files --------------------------------------------------------------------------------------

LARGEST_JOB = 500_000
"""Bytes of a job in TOML. A long one takes some 20 kB."""

LARGEST_BOOK = 10_000_000
"""Bytes of a workbook as it lies on disk. That of a plan of a thousand shades takes 1 MB; a film
would fill the memory."""

LARGEST_PLAN = 20_000_000
"""Bytes of a plan file. A shade takes some 1 kB of it, and ten times that as it is read."""

MOST_BRACKETS = 300_000
"""Lists and objects in a plan file, some 8 for each shade; each is made one by one."""

MOST_ITEMS = 50_000
"""Shades, panels, drops or sticks of a plan file."""

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

# --- texts --------------------------------------------------------------------------------------

LONGEST_NAME = 200
"""Letters of a title or a name: more fits no line of a sheet or a screen."""

LONGEST_WORD = 400
"""Letters or digits of one key or number in TOML; the longest number that means anything, the
smallest there is written out, has some 330."""

MOST_KEY_PARTS = 16
"""Parts of a dotted key in TOML. A job's deepest is ``cloth.NAME.piece``; reading one takes the
square of its parts."""

DEEPEST = 32
"""Brackets within brackets in TOML; a job's deepest is four."""

MOST_PROBLEMS = 100
"""Problems told at once: more are seldom of different kinds."""

# --- what a job asks for ------------------------------------------------------------------------

MOST_TABLES = 1_000
"""Tables of one kind: openings of different sizes, cloths, pieces of a cloth, flaws of a piece."""

MOST_COPIES = 1_000
"""Openings of one size: more than a hotel has windows."""

MOST_SHADES = 60
"""Shades side by side in one opening."""

LONGEST: Ticks = 1000 * TICKS["m"]
"""Any length, 1 km; sums of these stay small enough for any solver. (So a whole job can ask for
MOST_TABLES * MOST_COPIES * MOST_SHADES * LONGEST: no number of ticks can stand for "endless".)"""

LARGEST_STEP: Ticks = TICKS["ft"]
"""The cutting step: it rounds every length of the job."""

MOST_MONEY = 10**9
"""A price, or what a shade costs: with cents it stays exact in a float."""

MOST_COST = 1_000
"""What giving something up may cost in `fit`, where ones and tens are usual."""
