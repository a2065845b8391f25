"""How people say a legal move, as templates.

Data only, read by forms.py. Common practice, no source; the castling names that are written are those of FIDE Laws,
Appendix C 14. The slots are words: {piece}, {victim}, {new} are piece names, {square} and {origin} squares ("f3"),
{file} a letter, {rank} a figure, {ordinal} a rank in words ("first"), {mover} one of MOVERS, {takes} one of TAKING.
"""

from __future__ import annotations

from sync.mentions import tables

MOVERS = ("{piece}", "the {piece}")
"""The piece that moves, when nothing tells it from its like."""
MOVERS_BY_FILE = ("{piece} {file}", "{file} {piece}", "the {file} {piece}", "the {piece} on the {file} file")
MOVERS_BY_RANK = ("{piece} {rank}", "the {piece} on the {ordinal} rank")
MOVERS_BY_SQUARE = ("{piece} {origin}", "the {piece} on {origin}", "{piece} from {origin}")

PAWNS = ("pawn", "the pawn")
PAWNS_BY_FILE = ("{file} pawn", "the {file} pawn")
PAWNS_BY_SQUARE = ("pawn {origin}", "the pawn on {origin}", "pawn from {origin}")
TAKING_PAWNS = ("{file}",)
"""A pawn that takes is called by its file alone as well (FIDE Laws, Appendix C 9.1)."""

ARRIVING = ("{mover} {square}", "{mover} to {square}", "{mover} goes to {square}")
BARE = ("{square}",)
"""For pawns alone (FIDE Laws, Appendix C 3)."""
PUSHING = ("pushes the {file} pawn",)
DOUBLE_STEP = ("{file} pawn two squares", "pushes the {file} pawn two squares")

TAKING = ("takes", "captures", "recaptures", "grabs")
CAPTURING_SQUARE = ("{mover} {takes} {square}", "{mover} {takes} on {square}")
CAPTURING_VICTIM = (
    "{mover} {takes} {victim}",
    "{mover} {takes} the {victim}",
    "{mover} {takes} the {victim} on {square}",
    "{mover} {takes}",
)
CAPTURING_TOLD_APART = (
    "{mover} takes {square}",
    "{mover} takes on {square}",
    "{mover} captures the {victim}",
    "{mover} takes the {victim} on {square}",
)
CAPTURING_WITH = ("{takes} {square} with the {piece}", "{takes} with the {piece}")
CAPTURING_WITH_PAWN = (
    "{takes} {square} with the pawn",
    "{takes} {square} with the {file} pawn",
    "{takes} with the {file} pawn",
)
CAPTURING_BARE = ("{takes} {square}", "{takes} on {square}", "{takes} the {victim}", "{takes}")
FILE_TAKES_FILE = ("{file} takes {to_file}",)

EN_PASSANT = (
    "en passant",
    "takes en passant",
    "takes {square} en passant",
    "pawn takes en passant",
    "{file} takes en passant",
    "{file} takes {square} en passant",
    "{file} pawn takes {square} en passant",
)

PROMOTING = (
    " {new}",
    " equals {new}",
    " promotes to a {new}",
    " becomes a {new}",
    " makes a {new}",
    " and promotes to a {new}",
    " promoting to a {new}",
)
"""Said after the pawn's move."""
PROMOTING_TO_QUEEN = (" queens", " promotes")
TAKING_AND_PROMOTING = ("takes and promotes to a {new}", "takes and becomes a {new}")
PROMOTING_BARE = ("promotes to a {new}", "pawn promotes to a {new}", "the {file} pawn becomes a {new}")

CASTLING = {
    "king": (
        "castles", "castle", "castles short", "castles kingside", "castles king side", "castles king's side",
        "castles on the kingside", "castles to the kingside", "short castles", "short castling", "kingside castling",
        "king side castles", "O-O", "0-0",
    ),
    "queen": (
        "castles", "castle", "castles long", "castles queenside", "castles queen side", "castles queen's side",
        "castles on the queenside", "castles to the queenside", "long castles", "long castling", "queenside castling",
        "queen side castles", "O-O-O", "0-0-0",
    ),
}  # fmt: skip
"""By the wing that the king goes to."""

CHECK = ("", " check", " with check")
MATE = ("", " check", " mate", " checkmate", " is mate", " and it's checkmate")
"""Said after a move that gives check or mate."""

PIECES = tables.PIECE_NAMES
ORDINALS = tuple(tables.ORDINALS)
