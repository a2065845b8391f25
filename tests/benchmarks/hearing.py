"""How fast a ten-minute lesson is heard, beside faster-whisper's own transcribe on the same weights and processors.

    python -m tests.benchmarks.hearing [--audio FOLDER] [--rounds 3] [--processors N]

Three programs take turns: Plycue's hearing, WhisperModel.transcribe with all defaults but a thread for each processor
(its own four only hinder each other where there are fewer), and the same with 8-bit integers as Plycue uses them. The
model is loaded before the clock starts. Prints seconds of this machine, ratios, and how well each heard. FOLDER keeps
spoken lessons for the next time. On a machine that is busy with other things only --processors 1 gives fair numbers:
threads that wait for each other spend processor time while they wait.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.benchmarks.children import in_turn, json_told, median, python, ratios, run, told
from tests.benchmarks.lessons import heard, joined, options, script

LESSONS = ("a1", "a6")
"""Together 611 s."""
PLYCUE = """
from sync.recording import probe
from sync.transcript import find_model, hear
from sync.transcript.recogniser import load_recogniser
from sync.mentions.second_hearing import hear_again

load_recogniser(find_model("tiny.en"))
recording = probe(sys.argv[1])
transcript = timed("hearing", lambda: hear(recording))
transcript = timed("again", lambda: hear_again(transcript, recording))
print(json.dumps([word.text for word in transcript.words]))
"""
PLAIN = """
from faster_whisper import WhisperModel
from sync.transcript import find_model

processors = len(os.sched_getaffinity(0))
folder = str(find_model("tiny.en").folder)
model = WhisperModel(folder, device="cpu", cpu_threads=processors, compute_type=sys.argv[2])
words = timed("hearing", lambda: " ".join(segment.text for segment in model.transcribe(sys.argv[1])[0]).split())
print(json.dumps(words))
"""


def main() -> None:
    given = options(__doc__)
    with tempfile.TemporaryDirectory() as temporary:
        audio = given.audio or Path(temporary)
        lesson = joined(LESSONS, audio, Path(temporary) / "lesson.wav")
        runs = in_turn(
            {
                "Plycue": lambda: run(python(PLYCUE, lesson)),
                "transcribe": lambda: run(python(PLAIN, lesson, "default")),
                "transcribe, int8": lambda: run(python(PLAIN, lesson, "int8")),
            },
            given.rounds,
        )
    ours = [each.parts["hearing"] for each in runs["Plycue"]]
    for name, each in runs.items():
        spent = [one.parts["hearing"] for one in each]
        print(f"{name}: {told(median(spent))}, at most {max(one.peak for one in each) / 1e6:.0f} MB")
        print(f"  {heard([script(lesson) for lesson in LESSONS], json_told(each[0]))}")
        if name != "Plycue":
            print(f"  times Plycue's hearing: {ratios(spent, ours)}")
    again = [each.parts["again"] for each in runs["Plycue"]]
    print(f"doubtful squares heard again: {told(median(again))}; times the hearing: {ratios(again, ours)}")


if __name__ == "__main__":
    main()
