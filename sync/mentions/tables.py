"""What chess words sound like when people say them and when a recogniser writes them down.

Data only. Costs are negative log-probabilities in nats: how much less likely the form is than the plain one.
Forms without a source are common practice; confusions were read off recogniser output on development lessons.
"""

from __future__ import annotations

import chess

from sync.mentions.inflection import inflected

PIECES: dict[int, dict[str, float]] = {
    chess.PAWN: {
        "pawn": 0,
        "pawns": 0,
        "pawn's": 0,
        "pond": 1,
        "ponds": 1,
        "pont": 1,
        "porn": 1,
        "prawn": 1,
        "pan": 2,
        "pun": 2,
        "pong": 2,
        "dapawn": 0.5,
        "pawned": 1,
        "pon": 1,
        "ponte": 1,
        "bauer": 0,
    },
    chess.KNIGHT: {
        "knight": 0,
        "knights": 0,
        "knight's": 0,
        "night": 0.3,
        "nights": 0.3,
        "night's": 0.3,
        "nite": 0.5,
        "knite": 0.5,
        "kite": 2.5,
        "nice": 3,
        "right": 4,
        "horse": 0.3,
        "horses": 0.3,
        "horsey": 0.5,
        "9": 1,
        "nine": 1,
        "light": 3,
        "springer": 0,
    },
    chess.BISHOP: {
        "bishop": 0,
        "bishops": 0,
        "bishop's": 0,
        "bishup": 0.3,
        "bisho": 0.3,
        "bishoff": 1,
        "bish": 0.5,
        "laeufer": 0,
        "läufer": 0,
    },
    chess.ROOK: {
        "rook": 0,
        "rooks": 0,
        "rook's": 0,
        "brook": 0.7,
        "brooks": 0.7,
        "rock": 0.7,
        "rocks": 1,
        "rookie": 1.5,
        "ruk": 0.5,
        "ruck": 0.7,
        "look": 4,
        "crook": 1,
        "work": 4,
        "turm": 0,
        "group": 3,
        "rick": 1.5,
        "truck": 2.5,
    },
    chess.QUEEN: {
        "queen": 0,
        "queens": 0,
        "queen's": 0,
        "quinn": 0.7,
        "clean": 3.5,
        "green": 3,
        "dame": 0,
        "quin": 0.7,
        "cream": 3.5,
        "queena": 0.7,
        "when": 5,
    },
    chess.KING: {
        "king": 0,
        "kings": 0,
        "king's": 0,
        "kin": 1,
        "kingan": 1,
        "kingon": 1,
        "came": 4,
        "koenig": 0,
        "könig": 0,
        "kink": 1.5,
        "keen": 3,
    },
}
"""The piece names; the German ones stand in FIDE Laws, Appendix D 2.2 (announcing moves to blind players)."""

NICKNAMES: dict[str, tuple[str, ...]] = {"knight": ("horse", "horses", "horsey")}
"""Other words for a piece, which are said on purpose: captions keep them."""

PIECE_PHRASES: dict[tuple[str, str], tuple[int, float]] = {
    ("this", "should"): (chess.BISHOP, 0.7),
    ("this", "shut"): (chess.BISHOP, 0.7),
    ("this", "shop"): (chess.BISHOP, 0.7),
    ("this", "ship"): (chess.BISHOP, 0.7),
    ("they", "ship"): (chess.BISHOP, 1.5),
    ("the", "shop"): (chess.BISHOP, 1.5),
    ("be", "shop"): (chess.BISHOP, 0.7),
    ("a", "bish"): (chess.BISHOP, 1.5),
    ("bish", "up"): (chess.BISHOP, 0.3),
    ("bish", "of"): (chess.BISHOP, 0.7),
    ("push", "up"): (chess.BISHOP, 3.0),
    ("a", "rook"): (chess.ROOK, 0.0),
    ("are", "rook"): (chess.ROOK, 0.5),
    ("her", "rook"): (chess.ROOK, 0.0),
    ("queue", "in"): (chess.QUEEN, 1.0),
}
"""Two words heard for one piece."""

DETERMINERS = frozenset("the his her my your their our".split())
"""Words before a piece that is known already."""
ARTICLES = DETERMINERS | frozenset("a an its that this".split())
"""Articles, and what stands in their place."""
NOT_BARE = ARTICLES | frozenset(
    "these those no one other two three both each every any of own first second last next which another white's "
    "black's white black on with for by and".split()
)
"""Behind these a piece's name seldom begins the name of a move."""
NO_SQUARE = frozenset("and or side".split())
"""What is never a square behind a piece's name."""

PIECE_NAMES: dict[int, str] = {
    chess.PAWN: "pawn",
    chess.KNIGHT: "knight",
    chess.BISHOP: "bishop",
    chess.ROOK: "rook",
    chess.QUEEN: "queen",
    chess.KING: "king",
}

FILES: dict[int, dict[str, float]] = {
    0: {"a": 0, "eh": 0.3, "ay": 0.3, "hey": 2, "aa": 0.7, "a's": 0.5, "anna": 0, "da": 2, "e": 4},
    1: {"b": 0, "be": 1, "bee": 0.3, "b's": 0.5, "bella": 0, "v": 0.7, "vee": 0.7},
    2: {"c": 0, "see": 0.7, "sea": 0.5, "cee": 0.3, "c's": 0.5, "cesar": 0, "caesar": 0.3, "si": 1, "z": 1.5},
    3: {"d": 0, "dee": 0.3, "d's": 0.5, "david": 0, "the": 3.5, "t": 1.5},
    4: {"e": 0, "he": 1.5, "ee": 0.3, "e's": 0.5, "eva": 0, "be": 1.8, "p": 1.5, "y": 3, "we": 3.5},
    5: {"f": 0, "ef": 0.3, "eff": 0.3, "if": 2, "f's": 0.5, "felix": 0, "of": 4, "half": 3, "s": 3, "df": 0.3},
    6: {"g": 0, "gee": 0.3, "ji": 0.5, "g's": 0.5, "gustav": 0, "jee": 0.3, "she": 3, "j": 1.5},
    7: {"h": 0, "each": 1, "age": 1, "aitch": 0.3, "h's": 0.5, "hector": 0, "etch": 1, "ach": 1, "dh": 0.3},
}
"""File letters; the names stand in FIDE Laws, Appendix D 2.2."""

RANKS: dict[int, dict[str, float]] = {
    0: {"1": 0, "one": 0, "won": 0.7, "eins": 0, "want": 3},
    1: {"2": 0, "two": 0, "to": 1.5, "too": 1, "zwei": 0},
    2: {"3": 0, "three": 0, "tree": 0.5, "free": 1, "drei": 0, "street": 2.5},
    3: {"4": 0, "four": 0, "for": 1.2, "fore": 0.5, "vier": 0, "ford": 1.5, "forth": 1.5, "fourth": 1.5},
    4: {"5": 0, "five": 0, "fife": 0.3, "fuenf": 0, "fünf": 0, "fight": 2},
    5: {"6": 0, "six": 0, "sicks": 0.3, "sex": 0.5, "sechs": 0, "sick": 1},
    6: {"7": 0, "seven": 0, "sieben": 0},
    7: {"8": 0, "eight": 0, "ate": 0.5, "acht": 0, "hate": 2.5},
}
"""Rank numbers; the German ones stand in FIDE Laws, Appendix D 2.2."""

SQUARE_WORDS: dict[str, tuple[tuple[str, float], ...]] = {
    "before": (("b4", 0.7),),
    "beforehand": (("b4", 2.5),),
    "even": (("e7", 3),),
    "devon": (("d7", 1.5),),
    "eleven": (("e7", 2.5),),
    "heaven": (("e7", 3),),
    "afore": (("a4", 1),),
    "decent": (("d6", 3.5),),
    "beef": (("b5", 3), ("e5", 3.5)),
    "beside": (("b5", 3),),
    "defy": (("d5", 2),),
    "a-fore": (("a4", 1),),
    "seaford": (("c4", 1.5),),
    "effort": (("f4", 2),),
    "therefore": (("d4", 2), ("e4", 3.5)),
    "default": (("d4", 3.5),),
    "g-force": (("g4", 1.5),),
    "evo": (("e4", 3),),
    "eat": (("e8", 3),),
    "debate": (("b8", 3), ("d8", 3)),
    "bait": (("b8", 2.5),),
    "h-fork": (("h4", 1.5),),
    "ache": (("a8", 3),),
    "c-section": (("c6", 3.5),),
    "beast": (("b6", 4),),
    "bishopie": (("e3", 4),),
    "theory": (("e3", 5),),
}
"""Whole words that are heard instead of a square."""

NUMBER_SQUARES: dict[str, tuple[tuple[str, float], ...]] = {
    **{f"8{rank}": ((f"a{rank}", 1.5), (f"h{rank}", 2.2), (f"e{rank}", 3.5)) for rank in range(1, 9)},
    **{f"3{rank}": ((f"e{rank}", 3.5),) for rank in range(1, 9)},
    **{f"50{rank}": ((f"f{rank}", 3.5),) for rank in range(1, 9)},
    **{f"6{rank}": ((f"c{rank}", 3.5),) for rank in range(1, 9)},
}

KNIGHT_NUMBERS: dict[str, tuple[tuple[str, float], ...]] = {
    **{
        f"9{rank}": ((f"e{rank}", 0.7), (f"d{rank}", 3), (f"b{rank}", 3), (f"g{rank}", 3), (f"c{rank}", 3))
        for rank in range(1, 9)
    },
    **{f"98{rank}": ((f"a{rank}", 0.7), (f"h{rank}", 1.5)) for rank in range(1, 9)},
    **{f"90{rank}": ((f"e{rank}", 1.5),) for rank in range(1, 9)},
}
""""Knight e5" is heard as "95"."""

TRADES = inflected("trade exchange swap".split())
"""Verbs whose object is of the same kind as the piece that moves ("trades queens")."""

_WEAK = frozenset(
    """pick bite collect remove sacrifice crash smash kill steal pocket pluck scoop swallow clip regain seize recover
    gather accept dispatch slice bag claim demolish lop whip knock""".split()
)
WEAK_TAKES = frozenset(form for form in inflected(_WEAK) - _WEAK - {"bit"} if not form.endswith("ing")) | frozenset(
    "wins win won hits exchange x".split()
)
"""Verbs that often say something else than a capture: alone they name no move."""

TAKES: dict[str, float] = {
    **dict.fromkeys(
        inflected(
            """take retake capture recapture grab eat snap snatch gobble chop pinch eliminate nab munch devour nibble
            gulp nick hoover snip""".split()
        )
        | TRADES
        | WEAK_TAKES,
        0.0,
    ),
    "ate": 1.0,
    "eat": 1.0,
    "text": 0.7,
    "tags": 1,
    "steaks": 1,
    "takers": 0.5,
    "tapes": 1,
    "tax": 1.5,
    "talks": 3,
    "tics": 2,
    "stakes": 1,
    "taxes": 1,
    "takes.": 0,
    "cakes": 2,
    "tate": 2,
    "texts": 1,
}
"""Verbs for taking, and what "takes" is heard as."""

HELPS = inflected(["help"])
REFLEXIVE = frozenset("myself yourself himself herself itself ourselves themselves".split())
"""Together they take something ("helps herself to the pawn on b7")."""

FALLS = frozenset("falls fell disappears disappeared vanishes vanished".split())
"""What a piece does that is taken."""
COMES_OFF = frozenset("come comes came go goes went are is were was get gets got".split())
OFF = frozenset({"off", "gone"})
SWAPPED = frozenset("exchanged traded swapped".split())
"""The same with an auxiliary: "the queens come off", "f2 is gone", "the rooks get traded"."""

CASTLES: dict[str, float] = {
    "castles": 0,
    "castle": 0,
    "castled": 0,
    "castling": 0,
    "castle's": 0,
    "castile": 0.7,
    "castile's": 0.5,
    "cazzled": 0.3,
    "cassels": 0.3,
    "cassel": 0.5,
    "castes": 0.7,
    "casts": 1.5,
    "kassels": 0.5,
    "hassles": 2,
    "castels": 0.3,
    "castell": 0.5,
    "cassals": 0.5,
    "tassels": 1.5,
    "rochade": 0,
    "cancels": 2,
    "cattles": 1.5,
    "cattle": 2,
}

CASTLE_WRITTEN: dict[str, str] = {
    "o-o": "king",
    "0-0": "king",
    "o-o-o": "queen",
    "0-0-0": "queen",
    "oo": "king",
    "ooo": "queen",
}

HIDES = frozenset(
    """tuck tucks tucked hide hides hid bring brings brought put puts get gets got make makes made whisk whisks whisked
    send sends sent sweeps swept spirits spirited""".split()
)
SAFE = frozenset({"away", "in", "safe", "safely", "indoors"})
SAFETY = frozenset({"safety", "shelter", "bed"})
"""Words by which castling is told: "tucks his king away", "gets her king to safety"."""
INTO_SHELTER = frozenset({"into", "under", "behind", "out", "inside"})
NO_SHELTER = frozenset(
    """centre center middle game play action fight attack check corner file open pin net board edge endgame ending
    battle it that there square way front line""".split()
)
"""The same in a picture: a word before it, and what is no such picture ("whisks her king into the wings")."""

ALSO_DID = frozenset("do does did has have had".split())
SAME_WAY = frozenset({"same", "likewise"})
FOLLOWS = inflected(["follow"])
COPIES = frozenset("copies copied mirrors mirrored matches matched".split())
COPIED = frozenset("me him her it that this us them".split())
FROM_SIDE = frozenset({"from", "for", "by"})
ANSWERS = frozenset("answer answers answered reply replies replied respond responds responded".split())
ALIKE = frozenset({("in", "kind"), ("symmetrically",), ("likewise",), ("identically",)})
"""Words by which a move is told to be the other side's too: "so does black", "he does the same", "follows suit",
"copies her", "the same from Fergus", "replies in kind"."""

SHORT_SIDE = frozenset({"short", "kingside", "king-side", "kings-side", "small", "kurze"})
LONG_SIDE = frozenset({"long", "queenside", "queen-side", "queens-side", "big", "lange"})
"""With the German words for short and long in which castling is announced (FIDE Laws, Appendix D 2.2)."""
SIDE = frozenset({"side", "sides"})

CHECK: dict[str, float] = {
    "check": 0,
    "checks": 0.3,
    "checking": 0.5,
    "chess": 3,
    "czech": 0.3,
    "cheque": 0.3,
    "jack": 3,
    "chek": 0,
    "deck": 3,
    "chequer": 1,
}
MATE: dict[str, float] = {
    "mate": 0,
    "checkmate": 0,
    "mates": 0.3,
    "m8": 0.3,
    "mated": 1,
    "check-mate": 0,
    "made": 2,
    "meat": 2,
    "checkmates": 0,
    "mating": 1.5,
}

PROMOTING = frozenset({"promoting", "becoming"})
"""May tell in a sentence of its own what the move before did: "g8. Promoting to a queen"."""
PROMOTES = frozenset(
    {
        "promotes",
        "promote",
        "promoting",
        "promoted",
        "becomes",
        "become",
        "makes",
        "queens",
        "queening",
        "queened",
        "promotion",
        "equals",
        "underpromotes",
        "new",
    }
)

GIVES = inflected(["give"])
"""Words for giving up a piece for another, which it takes."""
DOUBLING = inflected(["double"])
"""What is done with rooks on a file."""
DOUBLED_WITHIN = 6.0
"""Cost of a rook that doubles on the file that it stands on."""
GOING = frozenset("go goes going went gone".split())
"""Before "long" or "short" it is castling."""
CORNERS = ("a1", "h1", "a8", "h8")

TO = frozenset(
    {"to", "into", "onto", "on", "upon", "2", "too", "two", "at", "for", "till", "until", "towards", "toward"}
)

MOVES = frozenset(
    """play plays played playing go goes going went gone move moves moved moving push pushes pushed pushing put puts
    putting drop drops dropped dropping slide slides slid step steps stepped stepping jump jumps jumped jumping hop
    hops hopped come comes came coming retreat retreats retreated run runs ran bring brings brought swing swings swung
    shift shifts shifted advance advances advanced lift lifts lifted develop develops developed developing
    return returns returned travel travels travelled head heads headed back backs throw throws threw hang hangs
    walk walks walked sit sits place places placed lands land landed pop pops popped tuck tucks tucked double doubles
    doubled break breaks broke strike strikes struck thrust thrusts shove shoves shoved fianchetto fianchettoes
    fianchettos retreating sneaks sneak crawls slips slip slipped hides hide centralises centralizes transfers
    reroutes leaps leap dives dive march marches marched creeps sidesteps sidestep continues continue answers
    answer answered replies reply replied responds respond responded starts start opens open
    begins begin chooses choose chose continues continued shuffles shuffle shuffled
    kicks kick blocks block blocked interposes covers defends protects rise rises rose arrives arrive arrived hurries
    hurry hurried withdraws withdraw withdrew flies fly flew climbs climb climbed invades invade invaded settles settle
    settled joins join joined appears appear appeared reaches reach reached charges charge charged escapes escape
    escaped flees flee fled wanders wander wandered trots trot trotted crept leapt leaped dove snuck sprang
    swept strode galloped crawled sneaked dived sidestepped centralised centralized transferred rerouted crosses cross
    crossed occupies occupy occupied enters enter entered infiltrates penetrates rushes rush rushed sails sail
    sailed spring springs scurry scurries scurried whisk whisks whisked send sends sent plant plants planted park parks
    parked stick sticks stuck poke pokes poked nudge nudges nudged roll rolls rolled retires retired toss tosses
    tossed""".split()
)
"""Verbs that stand with a piece or a square when a move is told."""

ADVANCES = frozenset(
    """pushes pushed moves moved goes went comes came runs ran rolls rolled marches marched advances advanced charges
    charged storms stormed steps stepped starts started begins began sets set springs sprang""".split()
)
"""Verbs that stand after a pawn's file when its step is told ("the h pawn marches")."""

TAKES_STEPS = inflected("take make".split())

CLARIFYING = frozenset("the that's that is it's with i mean so".split())
"""Words before what tells two like pieces apart after the move ("rook to d1, that's the a rook")."""

CHECKS = frozenset({"check", "checks"})

GOES = frozenset("goes go going went moves moved comes came jumps hops drops".split())
"""Those of them that may stand between the piece with its origin and the square."""

ORDINALS = {name: rank for rank, name in enumerate("first second third fourth fifth sixth seventh eighth".split())}
"""Ranks in words, from 0."""

BACK = frozenset(
    """back home backwards again retreats retreat retreated retreating returns return returned withdraws withdraw
    withdrew retires retired""".split()
)
HERE = frozenset({"here", "there", "over", "up", "down", "away", "in", "out", "across", "forward", "aside", "goes"})
OTHER = frozenset({"other"})
WITH = frozenset({"with"})
ASIDES = ("of course", "obviously", "naturally")

FILLERS = REFLEXIVE | frozenset(
    """the a an his her my your our their its this that with now then just simply again straight all way right away
    one still first only also even anyway up down out in over off by uh um er ah well very
    quietly calmly comes it has and so already which is white's black's white black immediately directly
    immediate must will would could can might may to be square far other from along onto own
    bad good dangerous poor strong little old lonely sad loose attacked extra pinned free passed whole last""".split()
)
"""Words that may stand between the parts of one move name."""

AROUND = frozenset("file files line rank ranks row side sides square squares with".split())
"""Other words of which move names are made; they are never misheard names."""

UNPASSANT = (
    ("en", "passant"),
    ("on", "passant"),
    ("in", "passing"),
    ("en", "passent"),
    ("un", "passant"),
    ("n", "passant"),
    ("and", "passant"),
    ("on", "person"),
    ("en", "peasant"),
    ("on", "passing"),
    ("in", "passant"),
    ("im", "passant"),
    ("en", "passion"),
    ("on", "passion"),
    ("n", "passion"),
    ("in", "passion"),
)
UNPASSANT_WORDS = frozenset({"n-passant", "enpassant", "en-passant", "impassant", "unpassant", "e.p", "onpassant"})

FILE_CONFUSION: dict[str, dict[str, float]] = {
    "a": {"h": 3.2, "e": 4.0, "d": 5.5, "b": 5.5, "c": 5.5, "g": 5.5, "f": 6},
    "b": {"d": 3.0, "e": 3.2, "g": 4.2, "c": 4.2, "a": 5.5, "f": 6, "h": 6},
    "c": {"e": 3.2, "d": 3.8, "g": 4.0, "b": 4.0, "a": 5.5, "f": 5.5, "h": 6},
    "d": {"b": 3.0, "e": 2.7, "g": 3.5, "c": 3.8, "a": 5.5, "f": 6, "h": 6},
    "e": {"d": 3.2, "b": 3.2, "c": 3.4, "g": 3.8, "a": 4.0, "f": 5, "h": 6},
    "f": {"h": 4.8, "e": 5.5, "a": 6, "b": 6, "c": 6, "d": 6, "g": 6},
    "g": {"d": 3.4, "e": 3.6, "c": 4.2, "b": 4.2, "a": 6, "f": 6, "h": 5},
    "h": {"a": 3.5, "f": 4.5, "g": 5, "e": 5.5, "b": 6, "c": 6, "d": 6},
}
"""Heard letter -> meant letter -> cost: letters that rhyme are taken for each other."""

FILE_CONFUSION_AFTER: dict[str, dict[str, dict[str, float]]] = {
    "bishop": {"b": {"e": 0.2, "d": 2.7}, "c": {"e": 1.6}, "d": {"e": 2.7}},
    "king": {"b": {"e": 3.2}, "c": {"e": 3.2}, "d": {"e": 0.9}, "g": {"e": 3.1}},
    "knight": {"b": {"d": 2.9, "e": 3.1}, "c": {"e": 3.1}, "d": {"e": 2.0}, "g": {"e": 2.4}},
    "pawn": {"b": {"e": 2.5}, "c": {"e": 3.1}, "d": {"e": 2.6}, "e": {"c": 3.1}},
    "queen": {"b": {"e": 3.3}},
    "rook": {"c": {"e": 2.7}, "d": {"e": 3.3}, "f": {"e": 2.9}},
    "takes": {"c": {"e": 2.7}, "d": {"e": 2.4}, "e": {"c": 1.5}, "g": {"e": 3.1}},
}
"""What costs otherwise after a word: its last sound runs into the letter, so that "bishop e2" is heard as "bishop b2"
more often than not (12,259 squares that tiny.en heard in 178 lessons)."""

RANK_CONFUSION: dict[str, dict[str, float]] = {
    "4": {"5": 5.0},
    "5": {"4": 5.0, "1": 5.5},
    "2": {"3": 5.0, "4": 6.5},
    "3": {"2": 5.0, "6": 6.0},
    "1": {"5": 5.5},
    "6": {"3": 6.0},
    "7": {"6": 6.0},
    "8": {"3": 6.0},
}
RANK_MISHEARD = 7.0
"""Cost of any other pair of ranks."""

PIECE_MISHEARD = 5.5
"""Cost of hearing one piece's name for another's."""

SURENESS = ((0.95, 1.2), (0.8, 1.05), (0.0, 0.85))
"""Factors of the cost of a square that was not heard, by the recogniser's least probability for the words of the one
that was (from 1,992 squares that tiny.en heard in the development lessons). 1 is the probability of words whose
probability nobody told.
"""

BY_SOUND, BY_HEARING = 0.65, 0.32
"""Weights of the sound's log-likelihoods and of the cost of mishearing, where a square was heard again (the best of a
few by the likelihood of 7,242 doubtful squares of 178 lessons)."""

LOST_SQUARE: dict[str, float] = {
    file: cost for files, cost in (("e", 2.0), ("a", 2.5), ("b", 2.5), ("cdfgh", 3.5)) for file in files
}
"""Cost of a square of each file that was heard as other words and found by its sound alone: those with a vowel for a
letter are lost most."""
