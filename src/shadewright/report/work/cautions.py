"""What every reader of a plan must be told about cords, and about things that hang overhead.

A roll-up shade is worked by cords far longer than the rules of several countries let hang within a
child's reach, so nothing here, nor anywhere in the project, calls a plan or a shade safe.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shadewright.job.model import Job

CAUTIONS: tuple[str, ...] = (
    "Cords and children. A child can be strangled by the cord of a shade, quickly and without a "
    "sound. Keep every cord out of a child's reach, and keep beds, cots and anything that can be "
    "climbed away from the shade. Where small children live or visit, choose a covering without "
    "cords.",
    # The strictest height found in print.
    "Fix the cleat at least 1.6 m (63 in) above the floor, out of a child's reach, and wind the "
    "whole cord round it every time. The height is the one asked for by Australia's Competition "
    "and Consumer (Corded Internal Window Coverings) Safety Standard 2014, the strictest we have "
    "seen in print; the rules where you live may ask for more.",
    # SOR/2019-97, Corded Window Coverings Regulations.
    "The cord of a roll-up shade is long. Some countries let only a very short cord hang within "
    "reach indoors (Canada, SOR/2019-97: 22 cm, about 8 5/8 in), so such a shade may not be "
    "allowed where you live, least of all for sale.",
    "A shade hangs over people's heads. Board, rod and wet cloth are heavy when they fall: fix the "
    "hooks into sound framing and not into plaster or trim alone, look them over every season, "
    "and roll outdoor shades up and tie them before a wind.",
    "This plan is arithmetic about cloth. It does not judge whether a shade is safe or allowed. "
    "Local codes, product standards and the advice of licensed tradespeople come before anything "
    "written here.",
)
"""Whole cautions, one paragraph each, for paper."""

CHILDREN = (
    "Children live or visit here, and cords can strangle a child: do not hang a shade with free "
    "cords where a child can come. Ask instead for a covering worked without cords: one on a "
    "spring roller, one lifted by hand and held by ties or clips, one driven by a motor, or a "
    "fixed panel or plain curtain. What follows is for places that no child reaches."
)
"""What comes before everything else where the job says that children are about."""


def first_of_all(job: Job) -> list[str]:
    """The paragraphs that come before everything else that is said of a job."""
    return [CHILDREN] if job.children else []


SHORT_CAUTION: tuple[str, str] = (
    "Cords can strangle a child: cleat at least 1.6 m (63 in) up, out of reach.",
    "Local codes, standards and licensed practice come before this plan.",
)
"""The same for a terminal, in two lines."""

ON_EVERY_PAGE = (
    "Cords can strangle children: keep them out of reach. What hangs overhead can fall: hook it "
    "into sound framing. Local codes, standards and licensed practice come before this plan."
)
"""The same at the foot of each page of paper."""
