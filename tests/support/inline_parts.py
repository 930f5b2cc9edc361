"""The styles and the one script that a page has in itself, as its policy must name them."""

import hashlib
import re
from base64 import b64encode


def inline_sources(page: str) -> list[str]:
    """The sources of all styles and of the only script inside a page (W3C Content Security Policy 3, 2.3.1)."""
    styles = re.findall(r"<style>([^<]*)</style>", page)
    (script,) = re.findall(r"<script>([^<]*)</script>", page)
    assert page.count("<style") == len(styles) > 0
    assert len(re.findall(r"<script[^>]*>[^<]", page)) == 1
    return [f"'sha256-{b64encode(hashlib.sha256(text.encode()).digest()).decode()}'" for text in (*styles, script)]
