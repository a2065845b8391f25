"""The lesson that is published, and the project file that keeps it together with an editor's edits."""

from sync.lesson.chapters import find_chapters
from sync.lesson.lesson import Chapter, Game, Lesson, Media, Moment, Ply, Quiz, RunnerUp
from sync.lesson.project import Project, Settings, TranscriptFile, load_lesson, project_text, save_lesson
from sync.lesson.quizzes import find_quizzes

__all__ = [
    "Chapter",
    "Game",
    "Lesson",
    "Media",
    "Moment",
    "Ply",
    "Project",
    "Quiz",
    "RunnerUp",
    "Settings",
    "TranscriptFile",
    "find_chapters",
    "find_quizzes",
    "load_lesson",
    "project_text",
    "save_lesson",
]
