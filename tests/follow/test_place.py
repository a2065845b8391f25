"""Places: the tree of positions that all hypotheses share."""

from __future__ import annotations

import chess

from sync.follow.place import Place, Places
from sync.mentions import Mention, spot
from sync.mentions.match import NOT_BACK
from tests.follow.talk import game_moves, talk


def reached(places: Places, sans: str) -> Place:
    place = places.root
    for move in game_moves(sans):
        place = places.after(place, move)
    return place


def test_one_line_of_moves_is_one_place_and_another_line_to_the_same_position_another() -> None:
    places = Places(chess.Board())
    one, other = reached(places, "Nf3 Nf6 d4"), reached(places, "d4 Nf6 Nf3")
    assert reached(places, "Nf3 Nf6 d4") is one
    assert one is not other
    assert one.board.epd() == other.board.epd()
    assert places.by_id[one.id] is one
    assert (one.ply, one.turn) == (3, chess.BLACK)


def test_the_way_to_a_place() -> None:
    places = Places(chess.Board())
    place = reached(places, "e4 e5 Nf3")
    assert [each.move for each in place.line()] == game_moves("e4 e5 Nf3")
    assert list(place.ancestors()) == [reached(places, "e4 e5"), reached(places, "e4"), places.root]
    assert list(places.root.ancestors()) == places.root.line() == []


def test_a_place_leads_to_itself_and_to_what_is_behind_it_only() -> None:
    places = Places(chess.Board())
    e4, after, beside = (reached(places, sans) for sans in ("e4", "e4 e5", "d4 d5"))
    assert places.root.leads_to(beside) and e4.leads_to(e4) and e4.leads_to(after)
    assert not after.leads_to(e4) and not e4.leads_to(beside) and not beside.leads_to(after)


def test_what_was_let_go_of_is_found_out_again() -> None:
    board = chess.Board("4k3/8/8/8/8/8/4P3/4K3 w - - 0 40")
    places = Places(board)
    place = places.after(places.after(places.root, chess.Move.from_uci("e2e4")), chess.Move.from_uci("e8d7"))
    fen, moves = place.board.fen(), set(place.legal.all())
    for each in places.by_id.values():
        each.forget()
    assert places.root.board.fen() == board.fen()
    assert place.board.fen() == fen == "8/3k4/8/8/4P3/8/8/4K3 w - - 1 41"
    assert set(place.legal.all()) == moves == set(place.board.legal_moves)


def test_back_is_where_a_piece_stood_before_too() -> None:
    places = Places(chess.Board())
    back_to_h4 = mention_of("bishop back to h4")
    stood = reached(places, "d4 Nf6 Bg5 e6 Bh4 g5 Bg3 d5 a3 a6")
    never = reached(places, "d4 Nf6 Bg5 e6 a3 d5 a4 a6 a5 h6 Bf4 Bd6 Bg3 O-O")
    assert stood.named(0, back_to_h4)[0].cost == 0.0
    assert never.named(0, back_to_h4)[0].cost == NOT_BACK


def mention_of(text: str) -> Mention:
    return max(spot(talk(text)), key=lambda mention: mention.last - mention.first)
