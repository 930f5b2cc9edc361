"""The one style that a page has in itself, as its policy must name it."""

import hashlib
import re
from base64 import b64encode


def one_style(page: str) -> str:
    """The source of the only style of a page (W3C Content Security Policy 3, 2.3.1: hash-source)."""
    (text,) = re.findall(r"<style>([^<]*)</style>", page)
    assert page.count("<style") == 1
    return f"'sha256-{b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
