"""What the service gives to pages of other apps: the module, its inventory, the frame, and CORS."""

import base64
import re
import subprocess

import pytest
from program import needed
from pydantic import ValidationError
from service import HOST, LEAST, ask, post, problem_of, small_app

from api.settings.settings import Settings
from api.web.guide_pages import guide_texts

pytestmark = pytest.mark.quick

ELEMENT = "/embed/v1.5.0/kitwright.js"
RELEASED = {  # SHA-384 of the bytes that host pages have pinned
    "1.0.0": "hbd+0Oiu2iIryuXg2Nb6gSU6MdrnIjaozDLNXMY5Uj0eTz1r9ZufO3qv1EsNRqy6",
    "1.1.0": "LUT8vJ5O57jUZzeh1y5IAGX9QeWKDI7dL3u2OHZ+ek2YkwnZsfD2TUkK209DXzG1",
    "1.2.0": "2iucAHFTtPPmad0ELL6T9Wd56CY4umNDf43FzguCukWliLa1gnmVMtIp4JDIzSh0",
    "1.3.0": "wucBu6T2uYhWX2g7UWNzoM6MnEoljXP84F2JO2KiEBGDNdh9NTkO6C5uhc6qh476",
    "1.4.0": "8itm/2+tvZm+1ebSPa/FcZKhs8WAm9zvlwrYXtfpBOy8dnB5SgWgVbDnIuUGiKj6",
    "1.5.0": "q02cVoiaLzLqy3Hi9n4v1Rz0qsGcwBhWmc6qRRmP/9JzYWkMX3lvR9kVyGxtJi3E",
}
README = guide_texts()["embed"]
SHOP, CLUB = "https://shop.example", "http://club.example:8080"  # invented origins
PREFLIGHT = {"Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "content-type"}


def hash_by_openssl(body: bytes) -> str:
    """The hash of a script by a program outside this project, in the form of W3C Subresource Integrity, 3.3."""
    command = [needed("openssl"), "dgst", "-sha384", "-binary"]
    digest = subprocess.run(command, input=body, capture_output=True, check=True).stdout
    return f"sha384-{base64.b64encode(digest).decode()}"


def test_the_module_may_be_kept_for_ever_and_used_by_any_page() -> None:
    """RFC 8246: immutable; module scripts always ask by CORS (HTML, fetch a single module script)."""
    answer = ask("GET", ELEMENT, headers={"Origin": SHOP})
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/javascript; charset=utf-8"  # RFC 9239
    assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
    assert answer.headers["access-control-allow-origin"] == "*"
    assert answer.headers["cross-origin-resource-policy"] == "cross-origin"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "import " not in re.sub(r"/\*.*?\*/|//[^\n]*", "", answer.text, flags=re.DOTALL), "SRI covers one file"


@pytest.mark.parametrize("form", ["{}", "W/{}", '"x", {}', "*"])
def test_a_module_that_is_held_already_is_a_304(form: str) -> None:
    """RFC 9110, 13.1.2: If-None-Match compares weakly, over a list."""
    tag = ask("GET", ELEMENT).headers["etag"]
    answer = ask("GET", ELEMENT, headers={"If-None-Match": form.format(tag)})
    assert (answer.status_code, answer.content, answer.headers["etag"]) == (304, b"", tag)
    assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
    assert ask("GET", ELEMENT, headers={"If-None-Match": '"other"'}).status_code == 200


@pytest.mark.parametrize(
    "address",
    [
        "/embed",
        "/embed/v0.0.0/kitwright.js",
        "/embed/v1.0.0/other.js",
        "/embed/v1.0.0/..%2f..%2f..%2fapp.py",
        "/embed/v..%2f..%2f/kitwright.js",
        "/embed/v1.0.0/%00",
        "/embed/1.0.0/kitwright.js",
    ],
)
def test_no_other_file_is_reached(address: str) -> None:
    """Neither by another version nor by a path that climbs."""
    problem_of(ask("GET", address), 404)


def test_the_inventory_names_each_version_with_the_hash_of_its_bytes() -> None:
    """The hash by OpenSSL."""
    items = ask("GET", "/embed/").json()["items"]
    assert items[-1]["url"] == f"{HOST}{ELEMENT}"
    assert {one["version"]: one["integrity"] for one in items} == {
        version: f"sha384-{digest}" for version, digest in RELEASED.items()
    }
    for one in items:
        body = ask("GET", one["url"].removeprefix(HOST)).content
        assert (one["bytes"], one["integrity"]) == (len(body), hash_by_openssl(body))


def test_the_readme_shows_the_tag_of_the_bytes_that_are_served() -> None:
    """A tag copied from it loads."""
    (shown,) = re.findall(r'src="[^"]*(/embed/[^"]*)"\s+integrity="([^"]*)"', README)
    assert shown == (ELEMENT, hash_by_openssl(ask("GET", ELEMENT).content))


def test_the_readme_names_everything_that_a_page_can_style_and_hear() -> None:
    """Custom properties, parts, events and attributes, as the module has them."""
    source = ask("GET", ELEMENT).text
    names = set(re.findall(r"--kitwright-[a-z-]+", source))
    names |= set(re.findall(r'#tell\("([a-z-]+)"', source))
    names |= {part for found in re.findall(r'\bpart: "([a-z ]+)"', source) for part in found.split()}
    names |= set(re.findall(r'"(\w+)"', re.search(r"observedAttributes = \[(.*)\]", source)[1])) | {"service"}
    section = README
    assert sorted(name for name in names if f"`{name}`" not in section) == []


def test_the_frame_is_pinned_and_lets_itself_be_framed_by_whom_the_setting_names() -> None:
    """CSP level 3, frame-ancestors; nobody else's page unless set."""
    answer = ask("GET", "/embed/frame")
    policy = dict(part.strip().split(" ", 1) for part in answer.headers["content-security-policy"].split(";"))
    assert (policy["default-src"], policy["script-src"], policy["frame-ancestors"]) == ("'none'", "'self'", "'self'")
    assert policy["require-trusted-types-for"] == "'script'"
    assert (answer.headers["referrer-policy"], answer.headers["x-content-type-options"]) == ("no-referrer", "nosniff")
    scripts = re.findall(r'src="([^"]*)" integrity="([^"]*)"', answer.text)
    assert [name for name, _ in scripts] == ["v1.5.0/kitwright.js", "v1.5.0/frame.js"]
    assert all(hash_by_openssl(ask("GET", f"/embed/{name}").content) == integrity for name, integrity in scripts)
    wider = ask("GET", "/embed/frame", app=small_app(frame_ancestors=f"{SHOP}, {CLUB}"))
    assert wider.headers["content-security-policy"].endswith(f"frame-ancestors 'self' {SHOP} {CLUB}")


def test_only_listed_origins_may_read_answers() -> None:
    """Fetch standard, CORS check; none by default."""
    for app, origin, allowed in (
        (small_app(), SHOP, None),
        (small_app(cors_origins=SHOP), SHOP, SHOP),
        (small_app(cors_origins=f"{SHOP},{CLUB}"), CLUB, CLUB),
        (small_app(cors_origins=SHOP), "https://shop.example.evil.example", None),
        (small_app(cors_origins=SHOP), "null", None),
        (small_app(cors_origins="*"), CLUB, "*"),
    ):
        answer = ask("POST", "/v1/kits", app=app, json=LEAST | {"detail": "kit"}, headers={"Origin": origin})
        assert answer.status_code == (200 if allowed else 403)
        assert answer.headers.get("access-control-allow-origin") == allowed
        assert "access-control-allow-credentials" not in answer.headers
        preflight = ask("OPTIONS", "/v1/kits", app=app, headers={"Origin": origin, **PREFLIGHT})
        assert preflight.headers.get("access-control-allow-origin") == allowed
        assert preflight.status_code == (200 if allowed else 204)


def test_pages_see_the_headers_that_matter_and_may_send_those_that_the_service_reads() -> None:
    """Fetch standard: what is not exposed is hidden from the page; what is not allowed fails the preflight."""
    app = small_app(cors_origins=SHOP)
    refused = ask("POST", "/v1/kits", app=app, json={}, headers={"Origin": SHOP})
    assert refused.status_code == 422
    assert refused.headers["access-control-allow-origin"] == SHOP, "a page must be able to read what is wrong"
    assert {"ETag", "Location", "Link", "Retry-After"} <= set(
        refused.headers["access-control-expose-headers"].split(", ")
    )
    asked = PREFLIGHT | {"Origin": SHOP, "Access-Control-Request-Method": "PUT"}
    for header, status in (("content-type, if-match", 200), ("idempotency-key", 200), ("authorization", 200)):
        answer = ask("OPTIONS", "/v1/kits", app=app, headers=asked | {"Access-Control-Request-Headers": header})
        assert answer.status_code == status
    anyone = asked | {"Access-Control-Request-Headers": "authorization"}
    refused = ask("OPTIONS", "/v1/kits", app=small_app(cors_origins="*"), headers=anyone)
    assert refused.status_code == 204, "keys are for pages whose origins were chosen"


@pytest.mark.parametrize(
    "origin",
    [
        "shop.example",
        "https://shop.example/",
        "https://shop.example/a",
        "ftp://shop.example",
        "null",
        "https://*.example",
        "https://shop.example;",
        "https://shop.example\nX: y",
        "https://Shop.example",
        "https://a@shop.example",
        "'none'",
    ],
)
def test_a_setting_that_is_no_origin_is_refused(origin: str) -> None:
    """Nothing that a browser would never send, and nothing that could end a policy early (RFC 6454, 6.1)."""
    for name in ("cors_origins", "frame_ancestors"):
        with pytest.raises(ValidationError, match=name):
            Settings(**{name: [origin]})


def test_origins_are_read_from_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    """Separated by commas or spaces."""
    monkeypatch.setenv("KITWRIGHT_CORS_ORIGINS", f"{SHOP}, {CLUB}")
    monkeypatch.setenv("KITWRIGHT_FRAME_ANCESTORS", CLUB)
    settings = Settings()
    assert (settings.cors_origins, settings.frame_ancestors) == ((SHOP, CLUB), (CLUB,))
    assert post(LEAST, app=small_app()).status_code == 200
