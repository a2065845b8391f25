"""Time and memory of the whole job on long recordings.

    python -m tests.benchmarks.long [--audio FOLDER] [--minutes 10 30 90 180]

Lessons are joined to recordings of these lengths. For each it prints what the stages take, in processor time for ten
minutes of sound, and the most memory that the process had up to the end of each; then the same once more, when all is
kept. FOLDER keeps spoken lessons for the next time; three hours of them take some minutes to speak.
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

from tests.benchmarks.children import python, run, told
from tests.benchmarks.lessons import all_names, joined

JOB = """
from pathlib import Path

load = lambda: [__import__(name) for name in ("cli.job", "sync.transcript.hearing", "sync.transcript.acoustic")]
timed("loading", load)
from cli.job import Given, follow_talk, know
from sync.mentions.second_hearing import hear_again
from sync.publish import Page, write_lesson, write_project
from sync.recording import probe
from sync.transcript import hear

known, out = know(Given()), Path(sys.argv[2])
recording = timed("probing", lambda: probe(sys.argv[1]))
transcript = timed("hearing", lambda: hear(recording))
transcript = timed("hearing again", lambda: hear_again(transcript, recording))
lesson, transcript = timed("following", lambda: follow_talk(transcript, recording, known, "long"))
def write():
    write_project(lesson, transcript, known.settings, out, "long")
    write_lesson(lesson, transcript, out, "long", Page(recording.path))
timed("writing", write)
"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--audio", type=Path, metavar="FOLDER", help="where spoken lessons are kept")
    parser.add_argument("--minutes", type=int, nargs="+", default=[10, 30, 90, 180])
    given = parser.parse_args()
    for minutes in given.minutes:
        with tempfile.TemporaryDirectory() as temporary:
            folder = Path(temporary)
            lesson = joined(all_names(), given.audio or folder / "audio", folder / "long.wav", 60 * minutes)
            first, second = (run(python(JOB, lesson, folder / "out"), folder / "cache") for _ in range(2))
        for name, each, by in (("first", first, minutes / 10), ("again", second, 1.0)):
            parts = ", ".join(f"{part} {spent.processor / by:.2f}" for part, spent in each.parts.items())
            peaks = ", ".join(f"{peak / 1e6:.0f} after {part}" for part, peak in each.peaks.items())
            print(f"{minutes} min, {name}: {told(each.whole)}, at most {each.peak / 1e6:.0f} MB ({peaks})")
            print(f"  seconds of processors{' for 10 min of sound' if each is first else ''}: {parts}")


if __name__ == "__main__":
    main()
