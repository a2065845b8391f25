"""Sentences of made-up lessons that name no move: the beginning, the end, and what is said about positions.

The rows are written as in narration_tables.py. <side> and <other> are sides as the speaker calls them, <sides> and
<others> their possessives; the other slots are those of board_facts.py.
"""

from __future__ import annotations

ASIDES = {
    "pinned": """
The <piece> on <sq> is pinned.
<sides> <piece> on <sq> is pinned, and it can't move.
Look at the <piece> on <sq>, it's stuck in a pin.
Don't forget that the <piece> on <sq> is pinned.
There's an annoying pin on <sq>.
That <piece> is nailed to <sq>.
""",
    "loose": """
The <piece> on <sq> is loose.
Nobody protects the <piece> on <sq>.
<sides> <piece> on <sq> isn't protected by anything.
Loose pieces drop off, and there's one on <sq>.
Who is looking after the <piece> on <sq>? Nobody.
The <piece> on <sq> is hanging in the air a little bit.
An undefended <piece> on <sq>, I don't like that.
""",
    "counted": """
The <piece> on <sq> is attacked [<n> times|by <n>] and defended [<m> times|by <m>].
Count with me, the <piece> on <sq> has <n> against it and <m> for it.
On <sq> it's <n> against <m>.
Let's count on <sq>. Attackers, <n>. Defenders, <m>.
There's some tension around <sq>.
Everything is about <sq> now.
""",
    "rim": """
A knight on the rim is dim, they say.
The knight on <sq> isn't very happy at the edge.
I don't love the knight on <sq>.
<sides> knight on <sq> has only a few squares.
""",
    "outpost": """
The knight on <sq> is a monster.
What a knight on <sq>.
<sides> knight stands beautifully on <sq>.
That knight on <sq> annoys everybody.
If that knight stays on <sq>, <other> will suffer.
""",
    "seventh": """
A rook on the seventh, every textbook loves that.
The rook on <sq> is eating its way through.
That rook on <sq> is a real nuisance.
""",
    "corner": """
The king on <sq> looks safe enough in its corner.
<sides> king is sitting in the corner on <sq>.
There isn't much air around the king on <sq>.
""",
    "looks": """
The <piece> on <sq> looks at <target>.
<sides> <piece> on <sq> is looking towards <target>.
From <sq> the <piece> controls <target>.
The <piece> on <sq> keeps an eye on <target>.
Notice how the <piece> on <sq> covers the <target> square.
Because of the <piece> on <sq>, <target> isn't available.
Don't forget about the <piece> on <sq>, it sees <target>.
""",
    "bad-bishop": """
<sides> bishop on <sq> is a bad bishop, <n> of its own pawns stand on its colour.
Look at that poor bishop on <sq>.
The <shade> squared bishop is biting on its own pawns.
I feel sorry for the bishop on <sq>.
""",
    "fianchetto": """
The bishop on <sq> rules the long diagonal.
<sides> bishop on <sq> is a sniper.
The <shade> squares belong to the bishop on <sq>.
Everything on the long diagonal is a target for the bishop on <sq>.
""",
    "passed": """
The pawn on <sq> is a passed pawn.
<side> <have> a passed pawn on the <file> file.
The <file> pawn is passed, and passed pawns must be watched.
Nobody can stop that <file> pawn with a pawn any more.
That pawn on <sq> wants to become a queen.
""",
    "isolated": """
The pawn on <sq> is isolated.
The <file> pawn has no neighbours.
<sides> <file> pawn is alone in the world.
The isolated pawn on <sq> will need some care.
""",
    "doubled": """
<side> <have> doubled pawns on the <file> file.
Those doubled <file> pawns aren't pretty.
Doubled pawns, yes, but the files next to them are useful.
""",
    "pawn-count": """
Count the pawns, <side> <have> <n>, and it's <m> for the other side.
It's <n> pawns against <m>.
<n> pawns against <m>, you can do the maths.
""",
    "majority": """
<side> <have> a majority on the queenside, <n> against <m>.
On the queenside it's <n> pawns against <m>.
Three islands or two, that's a question for later, but on the queenside <side> <have> more pawns.
""",
    "open-file": """
The <file> file is open.
Whoever gets the <file> file first will be happy.
There's an open <file> file, and rooks love that.
Nobody owns the <file> file for the moment.
Keep the <file> file in mind.
""",
    "half-open": """
<side> <have> the half open <file> file.
The <file> file is half open.
There's pressure along the <file> file, or there will be.
One day <sides> rooks will come to the <file> file.
""",
    "uncastled": """
<sides> king is still in the middle.
The king on <sq> hasn't castled yet.
<side> <have> not found the time to castle.
I'd be worried about the king on <sq>.
A king in the centre, you know what I always say about that.
""",
    "castled": """
<sides> king has gone to the <wing>, as it should.
The king on <sq> feels at home.
<sides> king is safe on the <wing>.
""",
    "weak-f": """
The weak square is <sq>, only the king looks after it.
Always keep an eye on <sq>.
The <sq> pawn is protected by the king and by nothing else.
You know the old sore point, <sq>.
""",
    "opposite": """
Kings on opposite sides, so it's going to be a race.
With the kings on opposite wings every tempo counts.
One king here, one king there, pawns will fly.
""",
    "level": """
Material is level.
Nobody has won anything yet.
So far it's equal, on paper.
Count the pieces, it's the same on both sides.
""",
    "pawn-up": """
<side> <be> <n> up.
<side> <have> won <n>, and the question is what it costs.
<other> <be> <n> down, with something in return, maybe.
<n> is <n>, as my uncle used to say.
""",
    "piece-up": """
<side> <be> a piece up, more or less.
<other> <have> less wood on the board now.
That's a lot of material, let's be honest.
""",
    "winning": """
<side> <be> simply winning here.
Between masters this would be resigned, but we're at a club.
From here on it should be a matter of technique.
<other> could resign, but nobody ever won by resigning.
""",
    "bishop-pair": """
<side> <have> the bishop pair.
Two bishops in an open position, that's something.
The two bishops belong to <side:o>, remember that.
""",
    "undeveloped": """
<side> still <have> <n> minor pieces at home.
<sides> queenside is asleep.
<n> of <sides> pieces haven't moved yet.
<side> <be> behind in development.
""",
    "no-queens": """
The queens are gone, so the kings may breathe.
Without queens it's about structure.
No queens, so take your time.
""",
    "no-rooks": """
All the rooks have left the board.
Not a single rook left.
""",
    "all-there": """
All thirty two pieces are still on the board.
Nothing has been exchanged so far.
""",
    "control": """
<side> <control> <sq>, <n> against <m>.
The square <sq> belongs to <side:o>.
Who controls <sq>? It's <n> to <m> for <side:o>.
On <sq> <side> <have> the say.
""",
    "hole": """
There's a hole on <sq>.
None of <sides> pawns can ever cover <sq> again.
The <sq> square is weak, look, no pawn can guard it.
<other> would love to have a knight on <sq>.
A piece on <sq> could never be chased away by a pawn.
""",
    "rooks-doubled": """
The rooks are doubled on the <file> file.
<side> <have> both rooks on the <file> file.
Two rooks on one file, that's a battery.
""",
    "rooks-joined": """
<sides> rooks are connected.
The rooks see each other, so the development is complete.
""",
    "rook-file": """
The rook on <sq> owns the <file> file.
<sides> rook on <sq> looks down the whole file.
""",
    "any": """
I always say, look at what the other side wants first.
Let that sink in for a moment.
You may want to pause here.
Pause the recording and think for a minute.
So far, so good.
And that's theory, or so I'm told.
This is a position I know quite well.
My coffee is getting cold.
There are many ways to play this.
I must say I was surprised.
Hm, let me think.
What would you do here?
What's going on in this position?
And now it gets interesting.
It doesn't look like much, does it?
People play this all the time.
It's a matter of taste.
Development first, that's what we tell the children.
I showed this to my neighbour, and he didn't believe it.
The clock was ticking, eleven minutes left.
We had forty minutes each, plus five seconds a move.
This takes some courage.
Take your time here.
He took a long time over that, nearly ten minutes.
That's the kind of thing that takes years to understand.
I checked it at home later, and it's fine.
No engine, just me and a board.
The door opened and somebody dropped a cup.
Don't be afraid of ghosts.
Simple chess.
Nothing special.
It's all still quiet.
Now comes the critical moment.
Count the attackers, count the defenders.
Who is better here? I'd say it's about equal.
I'd rather have the white side, to be honest.
I like the black side of this.
It's not the end of the world.
You see the point?
You see what's coming, don't you?
That's a small achievement.
Always ask yourself what has changed.
Every pawn move leaves something behind.
One of my students asked about this on Tuesday.
I've lost this kind of game many times.
In a blitz game you'd never see it.
At move fifteen you should know what you're doing.
When you don't know what to do, improve your worst piece.
Which piece isn't working? That's the question.
Queens love to be out early, and they shouldn't.
Rooks belong on open files.
Knights before bishops, they say, and I agree.
There's a lot of tension in the centre.
The centre is what it's all about.
Space means that your pieces can breathe.
All the minor pieces are in play.
I remember a game from nineteen ninety eight with the same idea.
Sorry, the cat is on my keyboard.
Let me have a sip of water.
So remember that for later.
We'll come back to this.
I get this question a lot.
Half of the room said yes, half said no.
It's a typical plan in this structure.
Plans are more important than moves.
This is where the game really starts.
Both sides have done their homework.
Nobody castles into a storm, usually.
Sometimes you have to give something to get something.
Two weaknesses are better than one.
Eight pawns, four islands, it's a mess.
You don't need to calculate everything.
Just look at the king.
What is the worst placed piece on the board?
If you remember one thing today, remember this.
My first trainer told me that a hundred times.
It's easy when you see it.
It looks scary but it isn't.
And I thought, this can't be true.
There's no hurry.
Patience is a move too.
The audience went quiet.
This is the third time I show this, and I still like it.
It's a bit like cooking, you need all the ingredients.
One tempo makes the whole difference.
The pieces are talking to each other.
Such positions are hard to play with little time.
Good players feel that, we have to count.
The trouble is that nothing is protected.
Be careful here.
Make a note of that.
I'm not going to give you all the lines.
You could write a book about this.
Alright.
Okay.
Good.
Fine.
Well.
So.
Let's see.
Here we are.
You know what I mean.
Not bad at all.
Very logical.
A surprise.
Interesting.
Is it good? I don't know.
Is that dangerous? Not really.
Can you see the idea?
Normally you'd never do that.
That was a bit of a shock.
Solid and a little boring.
That's the whole point.
It makes sense.
There's something in the air.
""",
}
"""Sentences by the fact that makes them true (board_facts.position_facts); "any" are true of every position."""

SIDE_ENDS = {
    "mate": """
That's it, game over.
So that would be the end.
Lights out.
Look at that picture.
And the king has nowhere to go.
""",
    "mover-up": """
5~And that's just good for <side:o>.
4~And <side> <be> winning.
3~And <side> <have> won material.
2~<side> <be> happy.
2~That's what <side> would be dreaming of.
2~And <other> <be> in trouble.
1~That would be a disaster for <other:o>.
1~I'd take <side:o> here any day.
1~Thank you, goodnight.
1~You can count it yourself, <other> <have> less.
1~And the rest is easy.
1~So <other> can't allow that.
""",
    "even": """
4~And it's about equal.
3~With a normal game.
3~And nobody has won anything.
2~That's playable.
2~It's a game, with chances for both.
2~I don't see what anybody has gained.
2~And I prefer <side:o>, but not by much.
1~That's fine for <other:o>.
1~Nothing special for either side.
1~And we could shake hands.
1~Not what <side> <want>.
1~And we're left with a dull position.
1~It's messy, and I can't judge it.
1~And I don't know who is better.
""",
}
"""What is said of a side line's last position."""

SIDE_REASONS = """
So that doesn't work.
So no.
So please don't.
You see why nobody plays that.
That's the refutation.
It was only an idea.
I just wanted to show you.
It's good to know that.
Remember this trick.
Isn't that pretty?
I looked at this for an hour.
Too greedy.
Too slow.
That was the one that worried me.
We don't want that.
Keep that in your pocket.
It's a typical mistake.
Not today.
And you'd be kicking yourself.
That's the trap.
So it depends.
I wouldn't go there.
I'd have been scared.
But that's only analysis.
"""

BEFORE_SIDES = """
Let's stop for a second.
Now a question.
Let me show you something.
Here I want to stop.
I'd like to show you a trap.
There's a choice here.
Two moves come to mind.
What would you play?
Stop here, please.
First fork in the road.
This is the critical moment.
Pause for a moment.
A short word about the alternatives.
Several moves are possible.
Let's look a little deeper.
Some of you will ask something now.
There is another idea here.
Before I show you the move, let me ask you.
I know what you're thinking.
Hands up, who has an idea?
Quiz time.
It's <sides> move.
<side> to move, take a minute.
What can <side> do?
<side> had a difficult decision.
Everybody asks me about this one.
Let us calculate a little.
It's tempting to grab something.
Let's be careful now.
And here I was thinking.
Don't rush.
Does it work?
Is there something better?
"""

GREETINGS = """
Hello everybody, and welcome back.
Good evening, and thank you for coming.
Hi there, good to see you.
Welcome to another lesson.
Hello and welcome.
Right, let's start.
Okay, are we recording? Good.
Good morning, everyone.
So, here we go again.
Hey, nice that you're here.
Welcome back to the club.
Alright, settle down please.
"""

INTRODUCTIONS = """
Today's game was played [last week|on Tuesday|in the winter league], <white> had white and <black> had black.
<white> has the white pieces, <black> is black.
I've got a game between <white> and <black> for you.
It's <white> against <black>, board [two|three|four].
On the board we have <white> with white and <black> with black.
Somebody sent me this game, <white> against <black>.
The players are <white>, white, and <black>, black.
This one is <white> versus <black>, sixty minutes each.
"""

PROMISES = """
It's not a perfect game, but you can learn a lot from it.
There are four or five moments I want to talk about.
I'll stop now and then and ask you something.
It's all about the pawns today.
Watch the knights.
We'll look at the mistakes too.
If you have a board, set it up.
I'll try to explain every move.
It starts quietly.
Keep an eye on the clock as well.
I'm going to go through it quite quickly.
The topic is planning, and also not falling asleep.
Get yourself a cup of tea.
"""

POSITION_INTRODUCTIONS = """
We start in the middle of things, it's <side> to move.
I've set up a position from the middle of the game, <side> to play.
The position on your board comes from an ending, and it's <sides> turn.
Let's jump in, <side> <be> to move here.
"""

ENDS = {
    "mate": """
And that was the end of it.
Game over.
A nice finish.
The king can't go anywhere.
""",
    "drawn": """
And that's a draw.
Nobody can win this any more, so a draw.
They shook hands.
""",
    "open": """
And here <other> resigned.
A few moves later it was over.
From here they played on for a while, but I'll stop.
And here they agreed to a draw.
The rest you can find for yourselves.
I'll leave it here.
And that's where my score sheet ends.
""",
}

GOODBYES = """
That's it for today, see you next time.
Thank you for listening.
Thanks, and until Tuesday.
Put the pieces back in the box, please.
See you next week.
Good night.
I hope you liked it.
Play through it at home.
That's all I've got, bye bye.
Have a nice evening.
"""

FILLERS = """
6~um
5~uh
3~hm
3~well
3~you know
2~I mean
2~like
1~er
1~okay
1~right
1~let's say
1~how shall I put it
"""

SLIPS = """
3~, no, sorry,
2~, wait, no,
2~, I mean
1~, no no,
1~, excuse me,
1~, what am I saying,
"""
"""After a wrong move that slips out and before the right one."""

SILENT = """
2~I'm going to skip a little.
2~Then a few moves that I won't bore you with.
1~Some moves later we get this position.
1~Then there's an exchange, nothing to explain there.
1~A bit of shuffling, and then
"""

PLAYERS = (
    ("Marlis", "she"),
    ("Ottokar", "he"),
    ("Wendelin", "he"),
    ("Orsola", "she"),
    ("Floriane", "she"),
    ("Henk", "he"),
    ("Tadeo", "he"),
    ("Petronella", "she"),
    ("Ansel", "he"),
    ("Quirin", "he"),
    ("Hedda", "she"),
    ("Ludmilla", "she"),
    ("Rasmus", "he"),
    ("Anouk", "she"),
    ("Pelle", "he"),
    ("Ines", "she"),
    ("Goran", "he"),
    ("Tilda", "she"),
    ("Anna", "she"),
    ("Pavel", "he"),
    ("Victor", "he"),
    ("Dora", "she"),
    ("Bertil", "he"),
    ("Kasia", "she"),
    ("Emil", "he"),
    ("Rosalind", "she"),
    ("Old Tom", "he"),
    ("my sister", "she"),
    ("my opponent", "he"),
    ("the kid", "he"),
)
"""Invented club players, by name and pronoun."""
