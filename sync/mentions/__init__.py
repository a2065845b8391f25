"""Spoken move names: where they are and which legal moves they may name."""

from sync.mentions.forms import spoken_forms
from sync.mentions.match import Named, named_moves
from sync.mentions.mention import Mention
from sync.mentions.spoken import put_right
from sync.mentions.spot import spot

__all__ = ["Mention", "Named", "named_moves", "put_right", "spoken_forms", "spot"]
