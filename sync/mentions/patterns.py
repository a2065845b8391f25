"""The forms in which people name moves, as rows of parts.

Each row: a name and its parts in spoken order.

    P  the piece that moves          S  the square it goes to        X  a word for taking
    F  the file it comes from        R  the rank it comes from       D  the square it comes from
    B  the piece that is taken       Y  a plural piece               L  the file it goes to
    C  a word for castling           K  which side                   E  en passant
    Q  a word for promoting          N  the piece it becomes         V  a word for moving
    A  "back", "home"                H  "here", "there", "over"      O  "other"
    _  up to MAX_GAP words that may stand between parts              w  "with"
    G  "g2" heard for "g to"            J  "f3 1" heard for "f e1"
    W  "king's", "queen's"
    o  "on", "from", "at"            l  "file"                       p  the word "pawn" as mover
    2  "two squares"                 t  "to", "goes", "goes to" or nothing
    1  "one step"                    T  "to", "goes", "goes to"
    f  the file, heard well          a  an article or nothing
    d  "the", "his" and the like
    q  a word for promoting that names no piece
    c  the word "check"
    k  "file" or nothing             r  the rank it comes from, in words ("on the third rank")
    Z  what it promotes to, with or without a word for promoting
    v  a verb with which a pawn steps forward
    h  a word for bringing to safety    s  "away", "safe", "to safety", after a king
    z  "the corner"                     g  a word for going, before a side to castle on
    u  a word for doubling rooks        x  "gives up", "trades", "swaps" and the like
    y  "for"                            e  the square it comes from, after "the" and the like
    n  "one", a piece that was named before
    j  "takes" or "makes", before a step
    m  a king, which castles         *  any word, for what is taken
    !  "come off", "falls"           >  "off comes"                  <  "off it comes"
    ^  a capture that no word says ("e d5")
    ~  two names as likely as one; twice: likelier
"""

from __future__ import annotations

MAX_GAP = 4

ROWS: tuple[tuple[str, str], ...] = (
    # a piece and its square
    ("piece-square", "P _ S"),
    ("piece-square", "F P _ S"),
    ("piece-square", "P F t S"),
    ("piece-square", "P o F _ S"),
    ("piece-square", "P G S"),
    ("piece-square", "P J"),
    ("piece-square", "P R t S"),
    ("piece-square", "P _ o D _ S"),
    ("piece-square", "P D t S"),
    ("piece-square", "e P _ S"),
    ("piece-takes-square", "e P _ X _ S"),
    ("piece-takes-piece", "e P _ X _ B"),
    ("piece-back", "e P _ A"),
    ("piece-square", "P _ o D A _ S"),
    ("piece-square", "P A _ o D _ S"),
    ("piece-square", "O P _ S"),
    ("piece-square", "W P _ S"),
    ("piece-takes-square", "W P _ X _ S"),
    ("piece-takes", "W P _ X"),
    ("piece-file", "W P _ o L l"),
    ("piece-square", "P o F k t S"),
    ("piece-square", "P r t S"),
    # taking
    ("piece-takes-square", "P _ X _ S"),
    ("piece-takes-square", "F P _ X _ S"),
    ("piece-takes-square", "O P _ X _ S"),
    ("piece-takes-square", "P F X _ S"),
    ("piece-takes-square", "P o F _ X _ S"),
    ("piece-takes-square", "P R X _ S"),
    ("piece-takes-square", "P _ X _ B o S"),
    ("piece-takes-square", "F P _ X _ B o S"),
    ("piece-takes-square", "O P _ X _ B o S"),
    ("piece-takes-piece", "P _ X _ B"),
    ("piece-takes-piece", "F P _ X _ B"),
    ("piece-takes-piece", "O P _ X _ B"),
    ("piece-takes-square", "P o F k X _ S"),
    ("piece-takes-square", "P o F k X _ B o S"),
    ("piece-takes-piece", "P o F k X _ B"),
    ("piece-takes-square", "P r X _ S"),
    ("piece-takes-square", "P r X _ B o S"),
    ("piece-takes-piece", "P r X _ B"),
    ("piece-takes-square", "P o D _ X _ S"),
    ("piece-takes-square", "P o D _ X _ B o S"),
    ("piece-takes-piece", "P o D _ X _ B"),
    ("piece-takes-square", "P ~ D X _ S"),
    ("piece-takes-square", "P ~ D X _ B o S"),
    ("piece-takes-piece", "P ~ D X _ B"),
    ("piece-takes-square", "P F X _ B o S"),
    ("piece-takes-piece", "P F X _ B"),
    ("piece-takes-square", "P R X _ B o S"),
    ("piece-takes-piece", "P R X _ B"),
    ("piece-takes-piece", "x a P y a B"),
    ("piece-takes-square", "x a P y a B o S"),
    ("piece-takes", "P _ X"),
    ("piece-takes", "F P _ X"),
    ("piece-takes", "O P _ X"),
    ("file-takes-square", "F X _ S"),
    ("file-takes-square", "F X _ B o S"),
    ("file-takes-square", "f ^ S"),
    ("file-takes", "F X"),
    ("file-takes", "f X L"),
    ("file-takes", "f X a B"),
    ("takes-square", "X _ S"),
    ("takes-square", "X _ B o S"),
    ("takes-square", "X _ S w _ P"),
    ("takes-square", "X _ S w _ F P"),
    ("takes-square", "X _ B o S w _ P"),
    ("takes-with", "X _ w _ P"),
    ("takes-with", "X _ w _ F P"),
    ("takes-with", "X _ w _ O P"),
    ("takes-with", "X _ B w _ P"),
    ("takes-with", "X _ B w _ F P"),
    ("takes-piece", "X _ B"),
    ("takes-piece", "X d L B"),
    ("piece-takes-piece", "P _ X d L B"),
    ("file-takes", "f X d L B"),
    ("takes-square", "X d * o S"),
    ("takes-piece", "B !"),
    ("takes-piece", "L B !"),
    ("takes-square", "B o S !"),
    ("takes-square", "S B !"),
    ("takes-square", "S !"),
    ("takes-piece", "> a B"),
    ("takes-square", "> a B o S"),
    ("takes", "<"),
    ("takes", "X"),
    ("takes", "X A"),
    ("takes-en-passant", "E"),
    ("takes-en-passant", "X _ E"),
    ("takes-en-passant", "F X _ E"),
    ("takes-en-passant", "F X _ S _ E"),
    ("takes-en-passant", "p _ X _ E"),
    ("takes-en-passant", "p _ X _ S _ E"),
    ("takes-en-passant", "F p _ X _ E"),
    ("takes-en-passant", "F p _ X _ S _ E"),
    ("takes-en-passant", "X _ S _ E"),
    # a square alone, or where from and where to
    ("square", "S"),
    ("square-square", "D T S"),
    ("square-square", "D ~ ~ S"),
    ("square-square", "D A t S"),
    ("square-takes-square", "D X _ S"),
    ("square-takes-square", "D X _ B o S"),
    ("file-square", "F p _ S"),
    # castling
    ("castles", "C"),
    ("castles", "C _ K"),
    ("castles", "K C"),
    ("castles", "h _ P s"),
    ("castles", "g K"),
    ("castles", "m _ K"),
    # no square, or no piece
    ("push", "V _ F p"),
    ("push", "V _ F p _ 2"),
    ("push", "V _ F p _ 1"),
    ("push", "F p 2"),
    ("push", "F p _ 2"),
    ("push", "F p _ 1"),
    ("push", "F p v"),
    ("push", "W p 2"),
    ("push", "F p j 1"),
    ("push", "F p j 2"),
    ("with-pawn", "w d f p"),
    ("wing", "W P"),
    ("wing", "V _ W P"),
    ("piece-back", "P _ A"),
    ("piece-back", "V _ P A"),
    ("piece-back", "A V _ P"),
    ("piece-back", "F P _ A"),
    ("piece-back", "O P _ A"),
    ("piece-back", "A w _ P"),
    ("piece-here", "P _ H"),
    ("doubles", "V _ Y o L l"),
    ("piece-file", "P _ o L l"),
    ("piece-file", "P _ T a L l"),
    ("piece-file", "P V a L l"),
    ("doubles", "u _ o L l"),
    ("piece-square", "P _ z"),
    ("move-square", "V _ z"),
    ("move-square", "T z"),
    ("square-with", "S w d P"),
    ("move-square", "V _ S"),
    ("move-square", "c o S"),
    ("move-square", "O n _ S"),
    ("back-square", "A _ S"),
    ("back-square", "V _ A _ S"),
    # promotion
    ("promotes", "S Z"),
    ("promotes", "p _ S Z"),
    ("promotes", "F p _ S Z"),
    ("promotes", "p D t S Z"),
    ("promotes", "p o D t S Z"),
    ("promotes", "X _ S Z"),
    ("promotes", "F X _ S Z"),
    ("promotes", "p _ X _ S Z"),
    ("promotes", "F p _ X _ S Z"),
    ("promotes", "p D X _ S Z"),
    ("promotes", "p o D X _ S Z"),
    ("promotes", "X _ q _ N"),
    ("promotes", "F p Q"),
    ("promotes", "p _ Q"),
    ("promotes", "Q _ N"),
    ("promotes", "Q _ N o S"),
    ("promotes", "p _ Q _ N o S"),
    ("promotes", "p _ Q _ N"),
    ("promotes", "F p _ Q _ N"),
)
