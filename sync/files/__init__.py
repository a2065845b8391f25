"""The files that are written from a lesson, the games that are read from PGN, and how far a PGN is from the truth."""

from sync.files.captions import captions_srt, captions_vtt
from sync.files.chapters import chapter_list, chapters_vtt
from sync.files.game_input import read_game
from sync.files.pgn import pgn_text
from sync.files.score import Score, score_files, score_json, score_table

__all__ = [
    "Score",
    "captions_srt",
    "captions_vtt",
    "chapter_list",
    "chapters_vtt",
    "pgn_text",
    "read_game",
    "score_files",
    "score_json",
    "score_table",
]
