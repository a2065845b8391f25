"""The viewer's page: the board follows the talk, a click on a move jumps to its moment."""

from sync.files.page.write import single_page, write_page

__all__ = ["single_page", "write_page"]
