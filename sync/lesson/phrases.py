"""How teachers ask, wait and sum up. Patterns are searched in sentences in small letters and without punctuation.

Collected from how lessons are commonly told; no source.
"""

from __future__ import annotations

import re

NUMBER = r"(?:a|one|two|three|four|five|six|seven|eight|nine|ten|fifteen|twenty|thirty|sixty|\d+)"
ORDINAL = r"(?:first|second|third|fourth|fifth|sixth|seventh|next|last|final|another|favou?rite|easy|hard)"
SOUGHT = r"(?:move|win|mate|idea|plan|answer|piece|trick|shot|tactic|reply|defence|defense)"
TASK = r"(?:question|quiz|puzzle|exercise|problem|task)"
SPAN = rf"(?:{NUMBER}|all|your|some|a few) (?:\w+ )?(?:moments?|minutes?|seconds?|time)"
PAUSE = r"(?:pause|paws)"
"""As it is often misheard, too."""
PIECE = r"(?:king|queen|rook|bishop|knight|pawn|piece|move|capture|square)"


def _any(*patterns: str) -> re.Pattern[str]:
    return re.compile("|".join(f"(?:{pattern})" for pattern in patterns))


STOPS = _any(
    rf"\b{PAUSE} (?:the|this|your|it|here|now|again|for|and|at)\b",
    rf"\b(?:hit|press) (?:the )?{PAUSE}\b",
    r"\bstop the (?:video|recording|tape|lesson|clip)\b",
    r"(?<!had to )(?<!me )(?<!us )(?<!let's )\bstop (?:here |now )?and (?:think|look|find|work|try|guess|solve)\b",
    rf"^(?:now |okay |and |so |again |please )*{PAUSE}\b",
    r"^(?:stop|pause|last stop|next stop) (?:\w+ )?question\b",
    r"\bi'?m (?:stopping|pausing)\b",
    r"\bi(?:'?ll| will) (?:wait|let you think|pause)\b",
    rf"\bi(?:'?ll| will)? (?:leave|give) you (?:all )?{SPAN}\b",
    rf"^(?:please |now |so )*take {SPAN}\b",
    rf"\byou (?:can |should |must |to )?(?:spend|take) {SPAN}\b",
    r"^(?:please |now |so |and |just )*think (?:about|it|for|hard|carefully)\b",
    r"\bhave a (?:think|go|try|guess)\b",
    r"\bdo(?: not|n't) (?:continue|go on|read on|look|press play|listen)\b.*\b(?:until|before|yet)\b",
    r"\bbefore (?:you (?:continue|go on|listen on)|i (?:show|tell|give) you)\b",
    r"\b(?:try|work|figure|solve) (?:it|this|that)(?: out)? (?:for |by )?yourse(?:lf|lves)\b",
    r"\bsee (?:if|whether) you can (?:find|spot|solve|see|work)\b",
)
"""The teacher tells the viewer to stop or to take time: enough by itself."""

STOP = _any(r"^(?:now |okay |and |so |again |please )*stop(?: please| now| again| here)?$")
"""May be said to the viewer or to anybody: counts where a task stands beside it."""

ASKS = _any(
    r"\bwhat (?:would|should|will|do) (?:you|we) (?:play|do|take|choose|move|push|capture)\b",
    r"\bwhat would be your\b",
    rf"\bwhich {PIECE}(?: (?:do|would|should|will) (?:you|we)\b|$)",
    rf"\bwith which {PIECE}\b",
    r"\b(?:can|could|do|did) you (?:find|spot|see) (?:the|a|it|how|what|why|white|black)\b",
    rf"\b(?:find|look for|search for|guess) (?:the|a|one|his|her|white'?s|black'?s) (?:\w+ ){{0,3}}{SOUGHT}\b",
    rf"\b(?:mate|checkmate) in {NUMBER}\b",
    r"\b(?:white|black) to (?:move|play)\b",
    rf"\bquestion (?:number )?{NUMBER}\b",
    rf"\b{ORDINAL} {TASK}\b",
    r"\b(?:quiz|puzzle) time\b",
    rf"\b(?:a|the) (?:\w+ )?{TASK} for (?:you|everyone|everybody|all)\b",
    r"\b(?:it'?s |is )?your (?:move|turn)\b",
    r"\bhow (?:does|do|would|should|can) (?:white|black|you|we) (?:win|continue|save|defend|proceed)\b",
    r"\bwhat'?s (?:the best|white'?s best|black'?s best|your)\b",
)
"""The teacher sets a task: a quiz when waiting follows, or a word that takes the talk up again."""

NO_QUIZ = _any(
    r"\b(?:each|every) time\b",
    r"\bwhenever\b",
    r"\bwhen i say\b",
    r"\b(?:he|she|they|white|black) (?:would|must|should) (?:stop|think)\b",
)
"""Says when there will be quizzes, or speaks of the players."""

ANSWERS = _any(
    r"^(?:are you |everyone |everybody )?ready$",
    r"^(?:so |well |and |now )?(?:the|my) (?:answer|solution|right move|correct move|best move)\b",
    r"^(?:okay|ok|alright|all right|welcome back|time'?s up|got it|found it)\b",
    r"^(?:so |and |well )?(?:did|have) you (?:find|found|see|seen|spot|spotted|get|got|solve|solved)\b",
    r"^(?:let'?s|let us) (?:take|look at|see|check|(?:start|begin) with) the (?:answer|solution|mistake|wrong|first)\b",
    r"^(?:the )?wrong answer\b",
)
"""Opens the sentence in which the teacher takes the talk up again after a wait."""

SUMS_UP = _any(
    r"\b(?:summary|summing up|to sum up|summarise|summarize|recap|conclusion)\b",
    r"\bwhat (?:do|did|can|have|should) (?:we|you) (?:learn|learned|learnt|take)\b",
    r"\b(?:the|is the|what is the|what's the) (?:moral|lesson of|lesson from|lesson here|takeaway|take away)\b",
    r"\btake (?:home|away|with (?:us|you))\b",
    r"\b(?:things?|points?|moments?|moves?|lessons?|rules?) to (?:remember|take|keep)\b",
    r"\bhomework\b",
    r"\bthanks? (?:you )?(?:so much |very much )?for (?:listening|watching|joining|coming along|being here)\b",
    r"\bsee you (?:next|again|soon|in the next|tomorrow|on)\b",
    r"\bthat'?s (?:all|it) (?:for|from) (?:today|tonight|now|me|this)\b",
    r"\buntil next time\b|\bbye\b|\bgood ?night\b",
    r"\bthe position i wanted to (?:reach|show)\b|\band here we stop\b",
)
"""Opens the end of a lesson."""
