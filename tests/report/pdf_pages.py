"""The text of a PDF as a printer puts it on paper: each run with its place and its size.

Reads what the typesetter writes and no more: objects that stand by themselves, flate streams, fonts
of two bytes a glyph with their widths and a table to Unicode, and forms within pages.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

Matrix = tuple[float, float, float, float, float, float]
_WHOLE: Matrix = (1, 0, 0, 1, 0, 0)
_ASCENT, _DESCENT = 0.73, 0.02
"""How high capitals of the type stand, and a little below the line, in ems."""

_TOKEN = re.compile(rb"\(|\[|\]|<<|>>|<[0-9A-Fa-f]*>|/[^\s/\[\]<>()]+|[^\s/\[\]<>()]+", re.DOTALL)
_IN_STRING = re.compile(rb"\\.|[()]", re.DOTALL)
_ESCAPES = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}


@dataclass(frozen=True)
class Run:
    """Glyphs set in one go; the box from the line they stand on up to their capitals, in points
    from the lower left corner of the page."""

    said: str
    size: float
    left: float
    bottom: float
    right: float
    top: float

    def overlaps(self, other: Run, slack: float) -> bool:
        """Whether two runs are printed over each other by more than so many points."""
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.top, other.top) - max(self.bottom, other.bottom)
        return across > slack and down > slack


@dataclass(frozen=True)
class Page:
    wide: float
    high: float
    runs: tuple[Run, ...]

    @property
    def text(self) -> str:
        """All of it, without what only shows where a word may break or must not."""
        return " ".join(run.said for run in self.runs).replace("\u200b", "").replace("\u00a0", " ")


@dataclass(frozen=True)
class _Font:
    widths: dict[int, float]
    letters: dict[int, str]


def pages(pdf: bytes) -> list[Page]:
    """The pages of a PDF with all of their text."""
    return _Document(pdf).pages


def bookmarks(pdf: bytes) -> list[str]:
    """The titles in its outline, in the order they stand in the file."""
    return _Document(pdf).bookmarks


class _Document:
    def __init__(self, pdf: bytes) -> None:
        found = re.finditer(rb"(?:^|\n)(\d+) 0 obj\s(.*?)\sendobj", pdf, re.DOTALL)
        self._objects = {int(each[1]): each[2] for each in found}

    @cached_property
    def pages(self) -> list[Page]:
        found = []
        for number in self._leaves(self._root()):
            page = self._objects[number]
            box = re.search(rb"/MediaBox\s*\[([^\]]*)\]", page)
            assert box
            _, _, wide, high = map(float, box[1].split())
            contents, resources = self._reference(page, b"Contents"), self._held(page, b"Resources")
            runs = self._runs(self._stream(contents), resources, _WHOLE)
            found.append(Page(wide, high, tuple(_joined(runs))))
        return found

    @cached_property
    def bookmarks(self) -> list[str]:
        outline = (o for o in self._objects.values() if b"/Title" in o and b"/Parent" in o)
        return [_text_string(each) for each in outline]

    def _root(self) -> int:
        catalog = next(o for o in self._objects.values() if re.search(rb"/Type\s*/Catalog", o))
        return self._reference(catalog, b"Pages")

    def _leaves(self, number: int) -> Iterator[int]:
        kids = re.search(rb"/Kids\s*\[([^\]]*)\]", self._objects[number])
        if not kids:
            yield number
            return
        for kid in re.findall(rb"(\d+) 0 R", kids[1]):
            yield from self._leaves(int(kid))

    def _reference(self, held: bytes, key: bytes) -> int:
        found = re.search(rb"/" + key + rb"\s*\[?\s*(\d+) 0 R", held)
        assert found, key
        return int(found[1])

    def _held(self, held: bytes, key: bytes) -> bytes:
        """A dictionary that stands here, or is referred to."""
        found = re.search(rb"/" + key + rb"\s*(\d+) 0 R", held)
        if found:
            return self._objects[int(found[1])]
        at = re.search(rb"/" + key + rb"\s*<<", held)
        return b"" if not at else _balanced(held[at.end() - 2 :])

    def _stream(self, number: int) -> bytes:
        whole = self._objects[number]
        start = re.search(rb"stream\r?\n", whole)
        assert start
        data = whole[start.end() : whole.rindex(b"endstream")]
        return zlib.decompress(data) if b"/FlateDecode" in whole[: start.start()] else data

    def _font(self, resources: bytes, name: bytes) -> _Font:
        font = self._objects[self._reference(self._held(resources, b"Font"), name)]
        inner = self._objects[self._reference(font, b"DescendantFonts")]
        widths = _widths(_bracketed(inner, b"/W"))
        return _Font(widths, _letters(self._stream(self._reference(font, b"ToUnicode"))))

    def _runs(self, content: bytes, resources: bytes, matrix: Matrix) -> Iterator[Run]:
        kept: list[Matrix] = []
        held: list[bytes] = []
        text, size, font = _WHOLE, 0.0, _Font({}, {})
        fonts: dict[bytes, _Font] = {}
        for token in _tokens(content):
            match token:
                case b"q":
                    kept.append(matrix)
                case b"Q":
                    matrix = kept.pop()
                case b"cm":
                    matrix = _times(_matrix(held), matrix)
                case b"BT":
                    text = _WHOLE
                case b"Tf":
                    name, size = held[-2][1:], float(held[-1])
                    fonts.setdefault(name, self._font(resources, name))
                    font = fonts[name]
                case b"Tm":
                    text = _matrix(held)
                case b"Tj" | b"TJ":
                    yield _run(held, font, size, _times(text, matrix))
                case b"Do":
                    forms = self._held(resources, b"XObject")
                    number = self._reference(forms, held[-1][1:])
                    form = self._objects[number].split(b"stream", 1)[0]
                    if re.search(rb"/Subtype\s*/Form", form):
                        own = re.search(rb"/Matrix\s*\[([^\]]*)\]", form)
                        inside = _times(_matrix(own[1].split()) if own else _WHOLE, matrix)
                        here = self._held(form, b"Resources")
                        yield from self._runs(self._stream(number), here, inside)
                case _:
                    held.append(token)
                    continue
            held = []


def _joined(runs: Iterator[Run]) -> Iterator[Run]:
    """The runs, those that drawings set letter by letter made whole."""
    last: Run | None = None
    for run in runs:
        if last is not None and _goes_on(last, run):
            ends = min(last.left, run.left), min(last.bottom, run.bottom)
            last = Run(last.said + run.said, run.size, *ends, run.right, max(last.top, run.top))
            continue
        if last is not None:
            yield last
        last = run
    if last is not None:
        yield last


def _goes_on(last: Run, run: Run) -> bool:
    """Whether a run of one letter comes right behind another, on its line or above it."""
    if len(run.said) > 1 or abs(last.size - run.size) > 0.01:
        return False
    near = 0.3 * run.size
    level = abs(last.bottom - run.bottom) < 0.1 and abs(run.left - last.right) < near
    upright = abs(last.right - run.right) < 0.1 and abs(run.bottom - last.top) < near
    return level or upright


def _tokens(content: bytes) -> Iterator[bytes]:
    at = 0
    while found := _TOKEN.search(content, at):
        token, at = found[0], found.end()
        if token == b"(":
            # Brackets that come in pairs may stand in a string as they are.
            depth = 1
            while depth:
                sign = _IN_STRING.search(content, at)
                assert sign
                at = sign.end()
                depth += {b"(": 1, b")": -1}.get(sign[0], 0)
            token = content[found.start() : at]
        yield token


def _run(held: list[bytes], font: _Font, size: float, matrix: Matrix) -> Run:
    said, along, seen = "", 0.0, 0.0
    for token in held:
        if token.startswith((b"(", b"<")):
            codes = _bytes(token)
            for i in range(0, len(codes), 2):
                code = int.from_bytes(codes[i : i + 2])
                letter = font.letters.get(code, "")
                said += letter
                along += font.widths.get(code, 0.0)
                # Blanks at the end of a line may hang over its edge.
                seen = along if letter.strip(" \u200b\u00a0") else seen
        elif token not in (b"[", b"]"):
            along -= float(token)
    long = seen * size / 1000
    corners = [_at(matrix, x, y) for x in (0.0, long) for y in (-_DESCENT * size, _ASCENT * size)]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    printed = size * (matrix[0] ** 2 + matrix[1] ** 2) ** 0.5
    return Run(said, printed, min(xs), min(ys), max(xs), max(ys))


def _at(matrix: Matrix, x: float, y: float) -> tuple[float, float]:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def _times(inner: Matrix, outer: Matrix) -> Matrix:
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    left = a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s
    return (*left, e * p + f * r + t, e * q + f * s + u)


def _matrix(tokens: list[bytes]) -> Matrix:
    a, b, c, d, e, f = map(float, tokens[-6:])
    return a, b, c, d, e, f


def _bytes(token: bytes) -> bytes:
    if token.startswith(b"<"):
        return bytes.fromhex(token[1:-1].decode())

    def plain(found: re.Match[bytes]) -> bytes:
        sign = found[1]
        return bytes([int(sign, 8)]) if sign.isdigit() else _ESCAPES.get(sign, sign)

    return re.sub(rb"\\([0-7]{1,3}|.)", plain, token[1:-1], flags=re.DOTALL)


def _balanced(text: bytes) -> bytes:
    depth = 0
    for found in re.finditer(rb"<<|>>", text):
        depth += 1 if found[0] == b"<<" else -1
        if not depth:
            return text[: found.end()]
    return text


def _bracketed(text: bytes, key: bytes) -> bytes:
    start = re.search(key + rb"\s*\[", text)
    assert start
    depth = 1
    for found in re.finditer(rb"[\[\]]", text[start.end() :]):
        depth += 1 if found[0] == b"[" else -1
        if not depth:
            return text[start.end() : start.end() + found.start()]
    return b""


def _widths(text: bytes) -> dict[int, float]:
    found: dict[int, float] = {}
    tokens = re.findall(rb"\[|\]|[^\s\[\]]+", text)
    i = 0
    while i < len(tokens):
        first = int(tokens[i])
        if tokens[i + 1] == b"[":
            end = tokens.index(b"]", i)
            for offset, width in enumerate(tokens[i + 2 : end]):
                found[first + offset] = float(width)
            i = end + 1
        else:
            for code in range(first, int(tokens[i + 1]) + 1):
                found[code] = float(tokens[i + 2])
            i += 3
    return found


def _letters(table: bytes) -> dict[int, str]:
    found: dict[int, str] = {}
    for block in re.findall(rb"beginbfchar(.*?)endbfchar", table, re.DOTALL):
        for code, letters in re.findall(rb"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>", block):
            found[int(code, 16)] = bytes.fromhex(letters.decode()).decode("utf-16-be")
    for block in re.findall(rb"beginbfrange(.*?)endbfrange", table, re.DOTALL):
        for low, high, first in re.findall(
            rb"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>", block
        ):
            for i, code in enumerate(range(int(low, 16), int(high, 16) + 1)):
                found[code] = chr(int(first, 16) + i)
    return found


def _text_string(held: bytes) -> str:
    found = re.search(rb"/Title\s*", held)
    assert found
    data = _bytes(next(_tokens(held[found.end() :])))
    return data[2:].decode("utf-16-be") if data.startswith(b"\xfe\xff") else data.decode("latin-1")
