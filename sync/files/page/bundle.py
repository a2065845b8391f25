"""One classic script out of the page's ES modules.

Browsers load modules neither from a page opened from disk nor without a server's help; a classic script loads anywhere.
"""

from __future__ import annotations

import re
from importlib.resources import files

ASSETS = files(__package__) / "assets"

IMPORT = re.compile(r'^import \{([^}]*)\} from "\./(\w+)\.js";\n', re.MULTILINE)
DOCUMENTATION = re.compile(r"^ */\*\*(?:(?!\*/).)*\*/\n", re.MULTILINE | re.DOTALL)
EXPORT = re.compile(r"^export (?=(?:class|function|const) (\w+))", re.MULTILINE)


def asset(name: str) -> str:
    return (ASSETS / name).read_text(encoding="utf-8")


def script(entry: str = "main") -> str:
    """The entry module and all that it imports, each in a scope of its own, in the order in which they need each other.

    Imports and exports have one form each: `import { a, b } from "./module.js";` and `export` before a declaration.
    Documentation comments stay behind: they are a third of the text.
    """
    order: list[str] = []
    sources: dict[str, str] = {}

    def visit(name: str) -> None:
        if name in sources:
            return
        sources[name] = asset(f"{name}.js")
        for _, needed in IMPORT.findall(sources[name]):
            visit(needed)
        order.append(name)

    visit(entry)
    modules = "".join(_scope(name, sources[name]) for name in order)
    return f'"use strict";\n(() => {{\nconst modules = {{}};\n{modules}}})();\n'


def _scope(name: str, source: str) -> str:
    body = IMPORT.sub(lambda match: f"const {{{match[1]}}} = modules.{match[2]};\n", DOCUMENTATION.sub("", source))
    exports = ", ".join(match[1] for match in EXPORT.finditer(body))
    return f"modules.{name} = (() => {{\n{EXPORT.sub('', body)}\nreturn {{ {exports} }};\n}})();\n"
