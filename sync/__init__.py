"""Plycue as a library: a recording of a narrated chess lesson becomes a lesson, and the lesson becomes files.

    from pathlib import Path

    from sync.publish import Page, make_lesson, write_lesson
    from sync.recording import probe
    from sync.transcript import hear

    recording = probe("lesson.webm")
    transcript = hear(recording)
    lesson = make_lesson(transcript, title="The open centre")
    write_lesson(lesson, transcript, Path("out"), "lesson", Page(recording.path))

Each stage is a function that can be called alone, and plain dataclasses pass between them:

    sync.recording    probe, decode            a file to its sound
    sync.transcript   hear, read_transcript    sound, or captions that exist, to words with times
    sync.mentions     spot                     words to places that may name a move
    sync.follow       follow                   those to game trees: played, or only considered, and when
    sync.lesson       find_quizzes, find_chapters, load_lesson, save_lesson
    sync.files        pgn_text, captions_vtt, chapters_vtt, write_page, diagram_svg and their like

Every stage raises sync.errors.InputError, with one line for a person to read, for what cannot be used. Nothing is
sent or fetched over a network.
"""
