"""The editor's desk: a local page on which a lesson's doubtful places are gone through."""
