"""Words of a talk by what they do in it (common practice, no source)."""

from __future__ import annotations

_CLASSES = {
    "maybe": """could can might may if suppose supposing say imagine assume perhaps maybe possible possibly try tries
        trying tried tempting tempted natural option alternative alternatively either otherwise let's lets ways way
        choice consider considered candidate candidates looks obvious""",
    "would": """would i'd he'd she'd they'd you'd we'd we'll you'll i'll he'll she'll they'll will won't wouldn't
        you're we're""",
    "should": "should must ought shouldn't better best stronger improvement improve correct instead rather prefer",
    "missed": "missed miss overlooked regret regretted forgot unfortunately sadly wrongly wish mistake blunder error",
    "did": """played went chose decided picked took moved pushed castled answered replied recaptured captured continued
        developed retreated dropped did brought put came followed met kept gave stepped began started opened
        finished tucked swung jumped hopped slid sent returned grabbed traded swapped exchanged was had""",
    "does": """plays goes chooses decides picks moves pushes answers replies recaptures captures continues develops
        retreats drops brings puts comes follows meets keeps gives steps begins starts opens finishes tucks swings
        jumps hops slides sends returns grabs trades swaps exchanges is has does castles""",
    "do": """play go choose pick move push answer reply recapture capture continue develop retreat drop bring put come
        follow meet keep give step take swap trade exchange grab defend attack""",
    "real": "game actually real really reality actual fact indeed finally eventually course happened simply",
    "then": "then next now here after afterwards later once when",
    "ask": "what why how who where which question think find guess pause anyone anybody answer tell ask asks see look",
    "judge": """good bad worse worst strong weak winning losing lost wins won loses wrong right terrible nice beautiful
        lovely fine safe solid dangerous equal pleasant ugly disaster trouble simple enough nothing works work fails
        fail""",
    "want": """threat threats threatens threatening threatened wants want wanted idea ideas plan plans planning hopes
        hoping hope intends intending aiming aims aim prepares preparing prepared ready going dream dreams dreaming
        likes against stop stops stopping prevent prevents prevented allow allows""",
    "stand": """square squares controls control defends defended protects protected attacks attacked attacking covers
        covered pressure eyes weak pinned pin standing stands stood sits sitting sat lives living belongs hanging
        hangs loose occupies diagonal file rank""",
    "back": "back return returning returns anyway okay ok alright right well resume continuing again so",
    "not": """not no never don't doesn't didn't can't couldn't cannot isn't wasn't nobody neither without refuses
        declined declines""",
    "they": "he she they his her their him them somebody someone",
    "we": "i we you our my your us me people",
    "side": "white black <name> opponent",
    "because": "because since for reason that's",
    "but": "but however though although yet still except",
    "count": "first second third fourth last one two three both",
    "line": "line lines variation variations theory book main branch sideline position moment",
    "move": "move moves",
}  # fmt: skip
CLASS = {word: name for name, words in _CLASSES.items() for word in words.split()}
"""A word's class. Where two lists hold a word, the later one counts."""
TELLING = frozenset(("maybe", "would", "should", "missed", "did", "does", "do", "real", "want", "stand", "ask", "not"))
"""Classes of which the nearest one before a move name says most about it."""
OVER = frozenset("resign resigns resigned resigning checkmate handshake".split())
"""Words after which a game is mostly over."""
