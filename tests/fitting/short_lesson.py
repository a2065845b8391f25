"""A short lesson to try the fits on: a game with a side line, a move named again, and one named later."""

LESSON = """\
# game: e4 e5 Nf3 Nc6 Bc4 Nf6 Ng5 d5 exd5 Nxd5
# var a: after 6: d3 Bc5 O-O

White opens with {M 1|pawn to e4}, and black answers {M 2|e5}. Then {M 3|knight f3}, {M 4|knight c6}, {M 5|bishop c4}
and {M 6|knight f6}.

White could now simply play {V a.1|d3}, {V a.2|bishop c5} and {V a.3|castle}. In the game she went {M 7|knight g5}, he
closed the diagonal with {M 8|d5}, and she {M 9|takes}. {R M 9|E takes d5}, that is. Remember {R M 3|knight f3}. And
black answered {M 10|knight takes d5}.
"""
