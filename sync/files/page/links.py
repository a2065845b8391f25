"""Where the page's moves lead to: media fragments, or places in a recording that is hosted elsewhere."""

from __future__ import annotations

import re
from dataclasses import dataclass

from markupsafe import Markup

from sync.errors import InputError

PLACE = "{seconds}"
TEMPLATE = re.compile(r"https?://[^\s/?#]+[^\s]*")


def seconds_text(seconds: float) -> str:
    """Normal play time of Media Fragments URI 1.0 (section 4.2.1), in seconds, to the millisecond.

    >>> seconds_text(83.45), seconds_text(12.0)
    ('83.45', '12')
    """
    return f"{seconds:.3f}".rstrip("0").rstrip(".")


@dataclass(frozen=True, slots=True)
class Links:
    """template: address of the recording with {seconds} for the time, None when the page itself plays it."""

    template: str | None

    def __post_init__(self) -> None:
        if self.template is None:
            return
        if PLACE not in self.template or not TEMPLATE.fullmatch(self.template):
            raise InputError(
                f"'{self.template}' is no link to a recording: it starts with https:// and holds {PLACE} for the time"
            )

    def attributes(self, game: int, ply: int | None, seconds: float | None) -> Markup:
        """href of a move's moment (seconds), with what a link out of the page needs besides.

        The fragment's t is a temporal dimension (Media Fragments URI 1.0, 4.2.1); ply, a name that the standard leaves
        free, says which move is meant: the game's number, a dot and the ply's id.
        """
        if self.template is not None and seconds is not None:
            address = self.template.replace(PLACE, str(int(seconds)))
            return Markup('href="{}" target="_blank" rel="noopener noreferrer"').format(address)
        time = [] if seconds is None else [f"t={seconds_text(seconds)}"]
        place = [] if ply is None else [f"ply={game + 1}.{ply}"]
        return Markup('href="#{}"').format("&".join([*time, *place]))
