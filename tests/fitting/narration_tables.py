"""What the speakers of made-up lessons say, apart from the code that puts it together (narrate.py).

A row is "weight~text", or the text alone for a weight of 1; a letter before the text ("N ") is the shape of the name of
a move that it is, or that must follow it:
N  a name that stands by itself: "knight f3", "castles", "the pawn to e4"
V  what somebody does: "takes back with the queen"; the subject comes before it
B  the same in the base form: "take back with the queen"
G  the same in the -ing form
S  a sentence whose subject is the piece: "the knight drops back to e2"

[a|b] is one of the two. <tag> is a slot, or else a verb, which agrees with the last subject that was named and with the
tense; <verb:b> base form, <verb:g> -ing form, <verb:p> participle, <verb:3> third person whatever the subject.
<sub>, <opp>: the side that makes the move and the other one; <he>: a pronoun for it; <his>: possessive.
"""

from __future__ import annotations

IRREGULAR = {
    "be": ("is", "was", "being", "been"),
    "have": ("has", "had", "having", "had"),
    "do": ("does", "did", "doing", "done"),
    "go": ("goes", "went", "going", "gone"),
    "take": ("takes", "took", "taking", "taken"),
    "retake": ("retakes", "retook", "retaking", "retaken"),
    "eat": ("eats", "ate", "eating", "eaten"),
    "put": ("puts", "put", "putting", "put"),
    "bring": ("brings", "brought", "bringing", "brought"),
    "find": ("finds", "found", "finding", "found"),
    "think": ("thinks", "thought", "thinking", "thought"),
    "see": ("sees", "saw", "seeing", "seen"),
    "say": ("says", "said", "saying", "said"),
    "come": ("comes", "came", "coming", "come"),
    "give": ("gives", "gave", "giving", "given"),
    "hit": ("hits", "hit", "hitting", "hit"),
    "win": ("wins", "won", "winning", "won"),
    "run": ("runs", "ran", "running", "run"),
    "choose": ("chooses", "chose", "choosing", "chosen"),
    "swing": ("swings", "swung", "swinging", "swung"),
    "slide": ("slides", "slid", "sliding", "slid"),
    "hop": ("hops", "hopped", "hopping", "hopped"),
    "step": ("steps", "stepped", "stepping", "stepped"),
    "drop": ("drops", "dropped", "dropping", "dropped"),
    "grab": ("grabs", "grabbed", "grabbing", "grabbed"),
    "swap": ("swaps", "swapped", "swapping", "swapped"),
    "chop": ("chops", "chopped", "chopping", "chopped"),
    "get": ("gets", "got", "getting", "got"),
    "make": ("makes", "made", "making", "made"),
    "leave": ("leaves", "left", "leaving", "left"),
    "keep": ("keeps", "kept", "keeping", "kept"),
    "know": ("knows", "knew", "knowing", "known"),
    "stand": ("stands", "stood", "standing", "stood"),
    "sit": ("sits", "sat", "sitting", "sat"),
    "want": ("wants", "wanted", "wanting", "wanted"),
    "try": ("tries", "tried", "trying", "tried"),
    "reply": ("replies", "replied", "replying", "replied"),
    "spot": ("spots", "spotted", "spotting", "spotted"),
    "decide": ("decides", "decided", "deciding", "decided"),
    "continue": ("continues", "continued", "continuing", "continued"),
    "castle": ("castles", "castled", "castling", "castled"),
    "capture": ("captures", "captured", "capturing", "captured"),
    "recapture": ("recaptures", "recaptured", "recapturing", "recaptured"),
    "exchange": ("exchanges", "exchanged", "exchanging", "exchanged"),
    "trade": ("trades", "traded", "trading", "traded"),
    "move": ("moves", "moved", "moving", "moved"),
    "place": ("places", "placed", "placing", "placed"),
    "centralise": ("centralises", "centralised", "centralising", "centralised"),
    "retreat": ("retreats", "retreated", "retreating", "retreated"),
    "develop": ("develops", "developed", "developing", "developed"),
    "push": ("pushes", "pushed", "pushing", "pushed"),
    "travel": ("travels", "travelled", "travelling", "travelled"),
    "advance": ("advances", "advanced", "advancing", "advanced"),
    "promote": ("promotes", "promoted", "promoting", "promoted"),
}
"""Third person, past, -ing form, participle of the verbs that do not just take -s, -ed and -ing, from memory."""

NAMES = {
    "piece": """
330~N <piece> <sq>
64~N <piece> to <sq>
8~N the <piece> to <sq>
5~N <piece> on <sq>
4~N <piece> over to <sq>
2~N <piece> [up|across|out] to <sq>
2~N the <piece>, <sq>
7~N <piece> <go:3> to <sq>
3~N <piece> comes to <sq>
4~N <piece> from <from> to <sq>
2~N <piece> <from> <sq>
1~N <from> to <sq>
1~N the <piece> on <from> to <sq>
6~V <go> to <sq>
4~V <put> the <piece> on <sq>
3~V <bring> the <piece> to <sq>
2~V <bring> [<his>|the] <piece> [out|over|round] to <sq>
3~V <play> the <piece> to <sq>
2~V <move> the <piece> to <sq>
1~V <place> the <piece> on <sq>
1~V <swing> the <piece> over to <sq>
1~V <go> with the <piece> to <sq>
1~V <choose> <sq>
8~S the <piece> <go:3> to <sq>
4~S the <piece> <come:3> to <sq>
3~S the <piece> <step:3> to <sq>
2~S the <piece> <jump:3> to <sq>
2~S the <piece> <slide:3> to <sq>
2~S the <piece> <travel:3> to <sq>
2~S the <piece> from <from> <go:3> to <sq>
2~S <his> <piece> <go:3> to <sq>
1~S <his> <piece> <appear:3> on <sq>
1~S in <come:3> the <piece>, <sq>
1~S it <go:3> to <sq>
""",
    "twin": """
60~N <piece> <file> <sq>
34~N <piece> <file> to <sq>
12~N the <file> <piece> to <sq>
4~N <piece> from <from> to <sq>
3~N <piece> <from> <sq>
2~N <piece> <from> to <sq>
16~N <piece> <sq>
4~N <piece> to <sq>
2~V <bring> the <file> <piece> to <sq>
2~V <put> the <file> <piece> on <sq>
2~S the <piece> from <from> <go:3> to <sq>
2~S the <file> <piece> <go:3> to <sq>
""",
    "twin-take": """
40~N <piece> <file> takes <sq>
8~N the <file> <piece> takes <sq>
6~N <piece> <file> takes
14~N <piece> takes <sq>
6~N <piece> takes
4~N <piece> from <from> takes <sq>
3~V <take> with the <file> <piece>
2~S the <file> <piece> <take:3> on <sq>
""",
    "back": """
9~N <piece> back to <sq>
5~N back to <sq>
3~N <piece> back, <sq>
6~V <drop> [the <piece>|] back to <sq>
3~V <go> back to <sq>
2~V <retreat> to <sq>
2~V <step> back to <sq>
2~V <withdraw> to <sq>
6~S the <piece> <drop:3> back to <sq>
5~S the <piece> <go:3> back to <sq>
3~S the <piece> <retreat:3> to <sq>
2~S it <drop:3> back to <sq>
1~S home it <go:3>, to <sq>
""",
    "develop": """
3~V <develop> the <piece> to <sq>
2~V <bring> out the <piece>, <sq>
2~V <develop> with <piece> <sq>
1~S the <piece> <come:3> out to <sq>
1~S the last <piece> <come:3> out to <sq>
""",
    "king": """
5~S the king <step:3> [over|aside] to <sq>
3~S the king <run:3> to <sq>
2~S the king <walk:3> to <sq>
2~V <step> aside to <sq>
""",
    "corner": """
6~N king in the corner
3~S the king <go:3> in the corner
2~S the king <hide:3> in the corner
2~V <tuck> the king away in the corner
""",
    "pawn": """
235~N <sq>
50~N pawn to <sq>
5~N pawn <sq>
4~N the pawn to <sq>
3~N the <file> pawn to <sq>
2~N pawn from <from> to <sq>
2~N <from> to <sq>
2~N <from> <sq>
2~N pawn up to <sq>
1~N little <sq>
1~N a quick <sq>
6~V <push> the <file> pawn to <sq>
4~V <push> the <file> pawn
4~V <play> <sq>
3~V <go> <sq>
3~V <push> <sq>
2~V <advance> to <sq>
2~V <push> on with <sq>
1~V <strike> with <sq>
3~S the pawn <go:3> to <sq>
2~S the <file> pawn <go:3> up
2~S the <file> pawn <advance:3> to <sq>
1~S up <go:3> the <file> pawn, to <sq>
1~S the pawn <run:3> to <sq>
""",
    "double": """
2~N the <file> pawn, two squares
1~N <file> pawn two squares, <sq>
2~V <push> the <file> pawn two squares
1~S the <file> pawn <jump:3> two squares
""",
    "step": """
1~N the <file> pawn one square
1~V <push> the <file> pawn one step
1~S the <file> pawn <take:3> one step
""",
    "take": """
150~N <piece> takes <sq>
36~N <piece> takes
7~N <piece> takes on <sq>
5~N <piece> takes <victim>
3~N the <piece> takes <sq>
2~N <piece> captures <sq>
3~N <piece> grabs <sq>
2~N <piece> from <from> takes <sq>
2~N <from> takes <sq>
10~N takes <sq>
5~V <take> on <sq>
4~V <take> the <victim>
3~V <take> the <victim> on <sq>
3~V <take> with the <piece>
2~V <grab> the <victim>
2~V <grab> on <sq>
2~V <capture> on <sq>
2~V <eat> the <victim>
1~V <snap> off the <victim>
1~V <chop> the <victim> on <sq>
1~V <pick> up the <victim>
1~V <help> <himself> to the <victim> on <sq>
4~S the <piece> <take:3> on <sq>
2~S the <piece> <take:3>
2~S the <piece> <take:3> the <victim>
2~S the <piece> <grab:3> it
1~S the <piece> <eat:3> the <victim>
1~S the <piece> <capture:3> on <sq>
""",
    "retake": """
150~N takes
12~N takes back
60~N <piece> takes
6~V <take> back
4~V <take>
5~V <take> back with the <piece>
3~V <recapture> with the <piece>
2~V <recapture>
3~V <take> with the <piece>
2~V <retake> with the <piece>
2~V <take> it back
4~S the <piece> <take:3> back
3~S the <piece> <recapture:3>
2~S the <piece> <retake:3>
""",
    "trade": """
3~V <trade> <piece>s on <sq>
2~V <trade> <piece>s
2~V <swap> the <piece>s
2~V <exchange> <piece>s on <sq>
1~V <swap> off the <piece>s
1~S the <piece>s <come> off on <sq>
""",
    "pawn-take": """
100~N <file> takes <sq>
14~N <file> takes
18~N pawn takes <sq>
14~N pawn takes
5~N pawn takes on <sq>
2~N <file> pawn takes <sq>
1~N <from> takes <sq>
18~N takes <sq>
5~V <take> on <sq>
3~V <take> the <victim>
2~V <take> with the <file> pawn
3~V <take> with the pawn
1~V <grab> the <victim>
1~V <exchange> on <sq>
1~V <capture> on <sq>
2~S the pawn <take:3>
2~S the <file> pawn <take:3>
1~S the pawn <take:3> on <sq>
""",
    "pawn-retake": """
50~N takes
6~N takes back
8~V <take> back
5~V <take> back with the pawn
3~V <recapture> with the pawn
3~V <recapture> with the <file> pawn
1~V <retake>
2~S the pawn <take:3> back
1~S the <file> pawn <recapture:3>
""",
    "bare-take": """
3~N takes
2~V <take>
1~V <take> it
1~V <capture>
1~V <grab> it
""",
    "en-passant": """
5~N <file> takes <sq> en passant
3~N pawn takes <sq>, en passant
3~V <take> en passant
2~N takes en passant
2~N <file> takes <sq>
""",
    "castle": """
60~N castles
6~N castle
4~N castling
14~V <castle>
5~V <castle> as well
3~V <get> castled
2~V <tuck> the king away
""",
    "short": """
8~N castles kingside
6~N castles short
3~N short castle
3~V <castle> kingside
3~V <castle> short
""",
    "long": """
20~N castles queenside
10~N castles long
4~N long castle
8~V <castle> queenside
4~V <castle> long
3~V <go> long
""",
    "promote": """
10~N <sq>, <queen>
6~N <sq> <queen>
5~N <sq>, promoting to a <queen>
4~N <sq>, making a <queen>
3~N <sq> with a new <queen>
3~V <promote> on <sq>
3~V <make> a <queen> on <sq>
2~S the pawn <promote:3> on <sq>
""",
    "promote-take": """
6~N <file> takes <sq>, <queen>
3~N pawn takes <sq>, and makes a <queen>
2~V <take> on <sq> and <make> a <queen>
""",
    "obvious": """
3~N back to <sq>
3~N to <sq>
2~V <go> to <sq>
1~S it <go:3> to <sq>
1~S and on to <sq>
""",
}
"""Ways to name a move, by what kind of move it is. Weights as they are counted in spoken lessons, roughly."""

CHECKS = """
60~ check
14~, check
7~ with check
2~, and it's check
2~, with check
"""
MATES = """
20~ mate
8~, checkmate
6~ is mate
4~, mate
2~, and it's mate
"""
CHECKS_AFTER = """
3~, check
2~, with check
1~, that's a check
1~. Check
"""
MATES_AFTER = """
4~, and that's mate
3~. Checkmate
2~, mate
1~ and it's all over, that's mate
"""

LINKS = {
    "N": """
24~, and
8~. And
6~. Now
6~. Then
5~, and then
5~, and now
2~, <sub>
5~. <sub> <play>
2~. <sub>
4~, <sub> <play>
3~, then
3~. So
3~. And now
3~. <sub> <answer> with
3~, <sub> <answer> with
2~, <he> <play>
2~. <he> <go>
2~. <he> <play>
2~, and <sub> <reply> with
2~. Next [comes|is]
2~, and here comes
2~, met by
2~, answered by
2~, to which <sub> <reply>
2~. <sub> <respond> with
2~. <sub> <continue> with
1~, next
1~, and it's
1~. It's
1~. Here comes
1~. Here <sub> <play>
1~. There's
1~. And there's
1~. And it's
1~. Now <sub> <choose>
1~. <sub> <decide> on
1~. <sub> <opt> for
1~. <sub> <say>
1~. The answer [is|was]
1~. The reply was
1~. What did <sub> play? <he> <play>
1~. Now comes
1~. Now it's
1~. Of course,
1~. Naturally,
1~. Good. Now
1~. Okay. So
1~. So then
1~. We get
1~, we get
1~. And what does <sub> do?
1~...
1~. And finally
1~. At last,
1~! And
1~!
1~. The move [is|was]
1~. On move <number>, <sub> <play>
1~. Move <number>,
1~. Move number <number>.
1~. Number <number>,
""",
    "V": """
10~, <he>
8~, and <sub>
6~. <sub>
5~. <he>
4~. So <he>
3~. Then <he>
3~, and then <he>
3~, <sub>
2~. Now <sub>
2~. Here <sub>
2~. And <he>
1~. And so <sub>
1~. Of course <he>
1~. At this point <sub>
1~, so <he>
1~. Calmly, <sub>
1~. On move <number> <sub>
""",
    "S": """
8~, and
5~.
3~. So
3~. Then
3~,
2~. And
2~. Now
1~. And so
1~. And then
1~, so
""",
}
"""Between two moves of the game, besides a comma or a full stop alone, by the shape of the name that follows."""

SIDE_LINKS = {
    "N": """
16~, and
11~, then
6~, and then
5~. Then
4~, and after
4~, and now
2~, <sub>
3~. Now
3~, it's
3~. And
3~, <sub> <play>
2~, and only now
2~, <he> <go>
2~! And
2~, and <sub> has
2~, and there's
2~. Then comes
1~, there's
1~, and <he> <answer>
1~, there follows
1~, but then
1~. But
1~, but
1~, say
1~, let's say
1~, maybe
1~, I'd guess
1~. After
1~, and if
1~, when <sub> <have>
1~. Then <sub> <have>
1~. <sub> simply <play>
1~, and <sub> simply <play>
1~, boom,
1~, next
1~, runs into
1~ and after
1~ and then
1~ is met by
1~. And what then?
1~, and <sub> <continue> with
1~. The point is
1~. That allows
1~, which allows
1~. And suddenly
1~, and suddenly
1~, and it's time for
1~, followed by
""",
    "V": """
8~, <he>
6~, <sub>
4~, and <he>
3~, then <he>
2~. <sub> simply
2~, <sub> just
2~. Then <sub>
1~, and <sub> happily
1~, and after <sub>
1~. If <he>
1~, so <he>
1~, and if <he>
""",
    "S": """
6~, and
4~,
3~, then
2~. And
2~, and then
1~. Suppose
1~, say
1~, and if
""",
}

OPENERS = """
16~N What about
14~N What if <sub> <play>
6~N What if
8~N If <sub> <play>
10~N If
6~N Suppose <sub> <play>
4~N Suppose
5~N <sub> could [play|try|go]
4~N <sub> could also [play|try|go|consider]
4~N Let's [look at|check|try|see|have a look at]
4~N You might think of
3~N You might [like|want|be tempted by]
3~N The first idea [is|was]
3~N One idea [is|was]
3~N The natural move [is|was]
3~N The obvious move is
3~N Everybody wants to play
2~N Many of you would play
2~N My first thought was
2~N I looked at
2~N I'd considered
2~N A beginner plays
2~N A student of mine suggested
2~N The tempting one is
2~N There's also
2~N There was also
3~N Instead,
2~N Why not
3~N Can <sub> play
2~N Can't <sub> just play
2~N Imagine <sub> <play>
2~N Let us say <sub> <play>
2~N Let's say
2~N Say
2~N Should <sub> play
2~N Had <sub> played
2~N In case of
2~N After
2~N Against
2~N And what happens after
2~N The wrong move is
2~N Wrong answer number one,
2~N Candidate number one,
2~N First candidate,
2~N Take
2~N It's so tempting to go
2~N And the other move,
2~N I hear you say,
2~N Someone in the back says
2~N The computer in my head says
2~N Not
1~N Was
1~N Were <sub> to play
1~N A mistake would be
1~N Impatient people play
1~N There's this idea,
1~N Now suppose for a moment,
1~N Look at
1~N The book says
1~N Here I wanted
1~N How about
1~N Maybe
1~N Perhaps
8~N
1~N Question, what happens on
1~N It would be wrong to play
1~N The trouble with
6~V If <sub>
6~V What if <sub>
4~V Suppose <sub>
3~V Let's say <sub>
2~V Imagine <sub>
2~V Say <he>
1~V When <sub>
1~V And if <sub>
4~B <sub> could
4~B <sub> could also
3~B Can <sub>
3~B Why not
2~B Let's
2~B Should <sub>
2~B <sub> might
2~B Why doesn't <sub>
2~B You'd like to
2~B Everybody wants to
1~B Were <sub> to
1~B Can <he> just
1~B It's tempting to
1~B My pupils always
2~G What about
2~G How about
1~G There's the idea of
1~G I thought about
1~G Nothing is gained by
3~S What if
3~S If
2~S Suppose
1~S Imagine
1~S Let's say
1~S Could it be that
"""
"""The first words of a side line from where the game stands."""

OTHER_OPENERS = """
8~N And if
8~N And
6~N Or
5~N And what about
4~N If instead <sub> <play>
4~N The second [idea|try|move|answer] is
3~N The other [move|one|try] [is|was]
3~N Or <sub> <play>
3~N Or maybe
3~N And after
3~N Number two,
2~N Wrong answer number two,
2~N Next candidate,
2~N And the other one,
2~N Same spot,
2~N What about
2~N Better is
2~N A little better,
2~N Slightly better is
2~N Or else
2~N Instead of that,
2~N But not
2~N Then there's
2~N And on
2~N Also possible,
2~N Somebody else wanted
1~N Now the alternative,
1~N On the other hand
1~N Take it back.
1~N Back up.
2~N
4~V And if <he>
3~V If <he>
2~V Or <he>
2~B Or <he> could
1~B Or <he> might
2~S And if
1~S Or
1~G And
"""
"""The first words of another side line from the same place."""

INSIDE_OPENERS = """
6~N And if
5~N If
4~N What if <sub> <play>
4~N And if <sub> <play>
3~N But what about
3~N Instead of that, <sub> could try
3~N Not
3~N Or
2~N In that line, <sub> could also play
2~N Careful, because after
2~N Maybe
2~N Somebody asks, what about
2~N <sub> could also try
2~N But if
2~N And don't try
2~N The other way is
2~N Wait, what about
1~N Hang on, and
1~N It's no better to play
1~N Or, in that position,
4~V And if <he>
4~V If <he>
2~V But if <sub>
2~V What if <sub>
2~B Could <he>
2~B <sub> can also
2~S If
1~S And if
"""
"""The first words of a side line that leaves a side line."""

LATE_OPENERS = """
6~N Instead, <sub> could have played
5~N Better was
4~N <sub> should have played
4~N I'd have played
4~N I prefer
3~N I would have preferred
3~N Instead of that,
3~N What if <sub> had played
3~N There was something better,
3~N The right move was
3~N It was time for
2~N He could have had
2~N In hindsight,
2~N Correct was
2~N A stronger move was
2~N What <he> missed was
2~N Had <he> played
2~N The alternative was
2~N If instead
2~N And if <he> had gone
2~N It had to be
1~N More careful was
1~N We could also look at
1~N You'd rather want
1~N Somebody asked me about
2~B Why didn't <he>
2~B <sub> should
1~B Wouldn't it be better to
"""
"""The first words of a side line in place of the move that was just told; <sub> made that move."""

FAR_OPENERS = """
4~N Let me go back to move <number>.
4~N Back to move <number>.
3~N Go back <n> moves. Instead of <repeat>,
3~N I forgot to mention, on move <number> <sub> could have played
3~N Let's rewind to move <number>. There
2~N By the way, in place of <repeat>, <sub> could try
2~N You remember <repeat>? There was another move,
2~N Remember the moment before <repeat>? What about
2~N A while ago, instead of <repeat>, there was
1~N Hold on, I skipped something at move <number>,
1~N Somebody in the chat asks about move <number>, whether
"""
"""The first words of a side line from several moves before."""

RETURNS = """
12~N So
8~N In the game <sub> <play>
6~N In the game,
7~N But <sub> <play>
6~N So <sub> <play>
5~N <sub> <play>
4~N <he> <play>
12~N
4~N Instead,
4~N Instead <he> <play>
4~N And so
4~N But in the game <he> <play>
3~N Anyway,
3~N Anyway. <sub> <play>
3~N Back to the game.
3~N Okay, back to the game. <he> <play>
3~N That's why <he> <play>
3~N The game went
2~N What happened was
2~N The real move was
2~N So what did <he> do? <he> <play>
2~N <sub> <know> that, and <play>
2~N <he> <see> it all, and <play>
2~N <he> <choose>
2~N <sub> <find> something better,
2~N So instead we have
2~N No, <he> <play>
2~N And the right answer is
2~N The right move is
2~N So it has to be
2~N And therefore
2~N Therefore
2~N Hence
2~N So that's not what happened. <sub> <play>
2~N None of that. <sub> <play>
2~N The solution is
2~N Well, <sub> <go>
2~N <sub> <go>
2~N Now the game again,
2~N Now we have
2~N So we come to
2~N <sub> <prefer>
1~N But look what <he> <do>,
1~N But look,
1~N And now
1~N And
1~N Now
1~N But
1~N Better is
1~N Simply
1~N Much simpler,
1~N Enough of that.
1~N Right,
1~N Fine.
1~N Here <sub> <play>
1~N What was played is
1~N The text move,
1~N As I said,
1~N Off the clock and back on the board,
5~V So <he>
4~V But <he>
4~V <sub>
3~V In the game <he>
3~V Instead <he>
2~V <he>
2~V And so <sub>
2~V That's why <sub>
1~V Of course <sub>
1~V <sub> knew that and
3~S So
3~S And so
3~S In the game
2~S
1~S Instead
1~S But
"""
"""The words that lead from a side line back to the next move of the game."""

AGAIN_RETURNS = """
4~N So after <repeat>,
3~N After <repeat>,
3~N So, <repeat>, and now
2~N We had <repeat>, and
2~N Instead of <repeat>, <sub> <play>
2~N So not <repeat>, but
2~N Back to <repeat>.
2~N That's enough about <repeat>.
1~N So <repeat> was no good.
"""
"""Returns that name a move again: <repeat> is the last move of the game, or the first of the side line."""

PLANS = """
8~N The threat is
5~N <he> <want>
5~N The idea is
4~N with the idea of
4~N planning
3~N <sub> <dream> of
3~N Next <he> <want>
3~N Now <he> <threaten>
2~N preparing
2~N looking at
2~N One idea is
2~N And next comes
2~N Of course there's the threat of
2~N You can already smell
2~N And maybe later
2~N Now there's
1~N The plan for <sub:o> is
1~N I'm looking at
1~N Watch out for
1~N Nothing stops
1~N One day we'll see
5~B <he> <want> to
4~B hoping to
3~B <sub> would like to
3~B The plan is to
2~B getting ready to
2~B <he> <be> going to
2~B so that <he> can
1~B <sub> <dream> that one day <he> can
"""
"""What leads to a move that somebody would make if it were their turn."""

PLAN_ENDS = """
6~.
3~ next.
2~ at some point.
2~, if nobody stops it.
2~, and that would hurt.
2~ one day.
1~, I think.
1~ as soon as possible.
1~ and then we'll see.
1~, you know the kind of thing.
"""

AGAIN = """
4~<repeat>.
3~<repeat>, remember that move.
3~I like <repeat>.
3~Just <repeat>.
2~Why <repeat>?
2~Again, <repeat>.
2~With <repeat> <he> <say>, here I am.
2~After <repeat> everything looks a little different.
2~That was <repeat>.
2~And <repeat> was not the last surprise.
2~I would not have found <repeat>.
1~Yes, <repeat>!
1~So <repeat> it is.
1~<repeat>, as simple as that.
1~Some people don't like <repeat>, I do.
1~You don't see <repeat> every day.
"""
"""A move that was just told named again."""

RECAPS = """
4~Remember <repeat>.
3~The moment I liked most was <repeat>.
3~One, <repeat>. Two, <second>.
3~It all began with <repeat>.
2~After <repeat> it was difficult for <opp:o>.
2~<repeat> was good, and <second> was even better.
2~So what did we learn? <repeat> was the right idea.
2~Don't forget <repeat>, and don't forget <second>.
2~The whole game was decided between <repeat> and <second>.
1~I still think <repeat> was too slow.
1~My favourite is <repeat>.
1~Look again at <repeat> when you are at home.
"""

TAILS = {
    "any": """
, very natural
, of course
, why not
, a normal move
, solid
, hm
, you know
, no surprise
, as usual
, I like it
, quite ambitious
, a bit slow perhaps
, what else
, straight away
, very calm
, just like that
, without thinking much
, after a long think
, after ten minutes
, with a smile
, after a big sigh
, I'm not sure about that
, I believe
, nice and solid
, the most popular choice
, and the clock is ticking
""",
    "attacks": """
4~, attacking the <victim>
4~, hitting the <victim>
3~, attacking the <victim> on <vsq>
2~, hitting the <victim> on <vsq>
2~, with an attack on the <victim>
1~, with tempo on the <victim>
1~, kicking the <victim>
1~, bothering the <victim>
1~, asking the <victim> a question
1~, which attacks the <victim>
1~, and the <victim> is under fire
1~, looking at the <victim> on <vsq>
1~, and suddenly <vsq> is a problem
1~, putting the question to the <victim>
""",
    "protects": """
3~, protecting the <victim>
2~, defending <vsq>
2~, protecting <vsq>
2~, defending the <victim> on <vsq>
1~, covering the <victim>
1~, holding everything together
1~, so the <victim> is protected now
1~, supporting <vsq>
1~, giving the <victim> a friend
1~, and <vsq> is covered
""",
    "eyes": """
, looking at <vsq>
, eyeing <vsq>
, controlling <vsq>
, with an eye on the <vsq> square
, taking control of <vsq>
, and it looks at <vsq>
, getting closer to <vsq>
, keeping an eye on <vsq>
""",
    "develops": """
, developing
, another piece out
, bringing out the <piece>
, simple development
, one more piece in play
, getting the pieces out
, developing with purpose
, and the <piece> is in the game
""",
    "king-safe": """
, and the king is safe
, king's safety first
, nice and safe
, bringing the rook into the game
, before anything happens in the middle
, tucked away
, and now the rooks are talking to each other
""",
    "opens": """
, opening the way for the <piece>
, letting the <piece> out
, opening the door for the <piece>
, and the <piece> can breathe
, making room for the <piece>
, opening a line for the <piece>
""",
    "centre": """
, taking space
, fighting for the centre
, with a foot in the centre
, right in the middle
, claiming the centre
, staking a claim in the middle
""",
    "takes-file": """
, taking the open file
, on the <file> file
, where else, on the open file
, grabbing the <file> file
, and the <file> file belongs to that rook
""",
    "captured": """
, thank you very much
, and the <victim> is gone
, winning or losing, we'll see
, opening things up
, no mercy
, and off it comes
, changing the structure
, goodbye <victim>
""",
}
"""Said straight after a move, of what it does (board_facts.move_facts)."""
