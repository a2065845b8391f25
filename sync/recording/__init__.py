"""Recordings: probing a file and decoding its sound. Media libraries are imported only when a file is opened."""

from sync.recording.media import LONGEST, SAMPLE_RATE, Recording, decode, file_sha256, log_warning, probe

__all__ = ["LONGEST", "SAMPLE_RATE", "Recording", "decode", "file_sha256", "log_warning", "probe"]
