"""Write anew what README and the guide show of prints: `python tests write_prints`, then read the diff."""

import re

from long_clocks import end_by_nodes
from printed_pages import BLOCK, PAGES, wanted


def _filled(block: re.Match[str]) -> str:
    """A block with what its command prints now."""
    return f"<!-- prints: {block['order']} -->\n```text\n{wanted(block['order'])}```"


def main() -> None:
    """Fill every block of every page."""
    end_by_nodes()
    for page in PAGES:
        text = page.read_text("utf-8")
        page.write_text(BLOCK.sub(_filled, text), "utf-8")


if __name__ == "__main__":
    main()
