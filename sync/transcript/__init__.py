"""What was said: hearing a recording, or reading a transcript that exists.

Heavy libraries are imported only when a recording is heard.
"""

from sync.transcript.files import read_transcript, write_transcript
from sync.transcript.json_form import from_json, to_json
from sync.transcript.words import Transcript, Word

__all__ = ["Transcript", "Word", "from_json", "read_transcript", "to_json", "write_transcript"]
