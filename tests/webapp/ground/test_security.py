"""Headers, hosts, proxies, capital links, limits, and logs without secrets."""

from __future__ import annotations

import io
import logging
import re
from collections.abc import Callable

import pytest
from flask import Flask, request
from flask.testing import FlaskClient

from setup_rules import read_request
from webapp.ground.security import mask_logs, masked
from webapp.setups.actions.create_setup import create_setup

Make = Callable[..., Flask]
CODE = "01110123456789ABCDEFGHJKMN"


@pytest.fixture
def code(app: Flask, whole_request: dict[str, object]) -> str:
    with app.app_context():
        return create_setup(read_request(whole_request)).saved.code


def test_the_policy_allows_nothing_that_is_not_ours(client: FlaskClient) -> None:
    policy = client.get("/about").headers["Content-Security-Policy"]
    directives = dict(part.split(" ", 1) for part in policy.split("; "))
    assert directives["default-src"] == "'none'"
    assert directives["frame-ancestors"] == "'none'"
    assert directives["base-uri"] == "'none'"
    assert directives["form-action"] == "'self'"
    assert "unsafe" not in policy


def test_every_answer_carries_the_protecting_headers(client: FlaskClient, code: str) -> None:
    for path in ("/", "/about", f"/s/{code}", "/nowhere", "/api/v1/openapi.json", "/s/x"):
        headers = client.get(path).headers
        assert headers["X-Content-Type-Options"] == "nosniff", path
        assert headers["Referrer-Policy"] == "same-origin", path
        assert headers["Cache-Control"] == "no-store", path
        assert "geolocation=()" in headers["Permissions-Policy"], path


def test_setups_are_kept_out_of_search_engines_and_the_front_page_is_not(client: FlaskClient, code: str) -> None:
    assert "noindex" in client.get(f"/s/{code}").headers["X-Robots-Tag"]
    assert "noindex" in client.get(f"/S/{code}").headers["X-Robots-Tag"]
    assert "X-Robots-Tag" not in client.get("/").headers


def test_browsers_are_held_to_https_only_where_it_is_served(make_app: Make) -> None:
    local = make_app(PUBLIC_BASE_URL="http://localhost:8000").test_client().get("/about")
    hosted = make_app().test_client().get("/about")
    assert "Strict-Transport-Security" not in local.headers
    assert hosted.headers["Strict-Transport-Security"].startswith("max-age=")


def test_the_cookie_is_secure_only_where_https_is_served(make_app: Make) -> None:
    local = make_app(PUBLIC_BASE_URL="http://localhost:8000", WTF_CSRF_ENABLED=True).test_client().get("/")
    hosted = make_app(WTF_CSRF_ENABLED=True).test_client().get("/")
    assert "Secure" not in local.headers["Set-Cookie"]
    for attribute in ("Secure", "HttpOnly", "SameSite=Lax"):
        assert attribute in hosted.headers["Set-Cookie"]


def test_a_host_that_is_not_ours_is_refused(client: FlaskClient) -> None:
    assert client.get("/about", headers={"Host": "evil.example"}).status_code == 400
    assert client.get("/about", headers={"Host": "cards.example"}).status_code == 200


def test_a_capital_link_shows_the_same_page(client: FlaskClient, code: str) -> None:
    small, capital = client.get(f"/s/{code}"), client.get(f"/S/{code}")
    assert capital.status_code == 200
    # Every page shown has a key and a token of its own for the sag that may be entered on it.
    fresh = re.compile(rb'(name="(?:csrf_token|idempotency_key)" value=")[^"]+')
    assert fresh.sub(rb"\1", capital.data) == fresh.sub(rb"\1", small.data)


def test_head_is_answered_like_get_without_a_body(client: FlaskClient, code: str) -> None:
    for path in ("/", f"/s/{code}", f"/S/{code}", f"/api/v1/setups/{code}", "/healthz"):
        answer = client.head(path)
        assert (answer.status_code, answer.data) == (200, b""), path


@pytest.mark.parametrize(("hops", "seen"), [(0, "10.9.9.9"), (1, "203.0.113.7")])
def test_a_proxys_word_counts_only_as_far_as_set(make_app: Make, hops: int, seen: str) -> None:
    app = make_app(PROXY_HOPS=hops)
    app.add_url_rule("/who", view_func=lambda: request.remote_addr or "")
    headers = {"X-Forwarded-For": "198.51.100.1, 203.0.113.7"}
    answer = app.test_client().get("/who", headers=headers, environ_base={"REMOTE_ADDR": "10.9.9.9"})
    assert answer.text == seen


def test_no_header_puts_another_site_into_links_and_redirects(make_app: Make) -> None:
    client = make_app(PROXY_HOPS=1).test_client()
    headers = {"X-Forwarded-Prefix": "//evil.example"}
    wanted = {"rider_mass_kg": "78", "riding_style": "trail", "front.wanted": "y", "front.travel_mm": "140"}
    answers = [client.get(path, headers=headers) for path in ("/", "/about", "/shop", "/shop/log-in?back=/shop/units")]
    answers.append(client.post("/", data=wanted, headers=headers))
    assert [a.status_code for a in answers] == [200, 200, 303, 200, 303]
    assert not [a.location for a in answers if "evil" in (a.location or "") + a.text]


def test_the_path_of_the_public_address_is_the_one_that_links_begin_with(make_app: Make) -> None:
    client = make_app(PROXY_HOPS=1, PUBLIC_BASE_URL="https://cards.example/bikes").test_client()
    assert 'href="/bikes/about"' in client.get("/").text
    assert client.get("/shop").location.startswith("/bikes/shop/log-in")


def test_the_kept_form_pages_do_not_grow_with_the_addresses_asked_for(make_app: Make) -> None:
    app = make_app(PROXY_HOPS=1)
    for number in range(100):
        prefix = f"/mount{number}"
        page = app.test_client().get("/", headers={"X-Forwarded-Prefix": prefix}, environ_base={"SCRIPT_NAME": prefix})
        assert page.status_code == 200
    assert 1 <= len(app.extensions["blank_setup_pages"]) <= 16


def test_too_many_saves_are_slowed_down_with_a_time_to_wait(make_app: Make, whole_request: dict[str, object]) -> None:
    client = make_app(RATELIMIT_ENABLED=True, RATE_CREATE="2 per hour").test_client()
    answers = [client.post("/api/v1/setups", json=whole_request) for _ in range(3)]
    assert [a.status_code for a in answers] == [201, 201, 429]
    assert int(answers[2].headers["Retry-After"]) > 0
    assert answers[2].json is not None
    assert answers[2].json["errors"][0]["message"]


def test_reading_is_limited_apart_from_saving(make_app: Make) -> None:
    client = make_app(RATELIMIT_ENABLED=True, RATE_LINKS="1 per hour").test_client()
    assert client.get(f"/s/{CODE}").status_code == 404
    assert client.get(f"/s/{CODE}").status_code == 429
    assert client.get("/").status_code == 200


def test_the_limits_can_be_switched_off(make_app: Make) -> None:
    client = make_app(RATELIMIT_ENABLED=False, RATE_LINKS="1 per hour").test_client()
    assert [client.get(f"/s/{CODE}").status_code for _ in range(3)] == [404, 404, 404]


@pytest.mark.parametrize(
    "text",
    [
        f"GET /s/{CODE} HTTP/1.1",
        f"GET /S/{CODE}/card.pdf",
        f"GET /s/{CODE[:13]}-{CODE[13:]}",
        f"GET /s/{CODE[:13]}%20{CODE[13:]}",
        f"/owner/{CODE}/delete",
        f"https://cards.example/api/v1/setups/{CODE.lower()}?revision=2",
        f"code={CODE}",
        f"'{CODE}'",
    ],
)
def test_codes_and_keys_are_blotted_out(text: str) -> None:
    assert CODE[:13].lower() not in masked(text).lower()
    assert CODE[13:].lower() not in masked(text).lower()


def test_the_rest_of_a_line_is_left_as_it_is() -> None:
    line = 'File "templates/setups/show.html", line 7, GET /about 200'
    assert masked(line) == line


def test_log_lines_arguments_and_tracebacks_of_any_logger_are_masked() -> None:
    mask_logs()
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    logger = logging.getLogger("some.library")
    logger.addHandler(handler)
    logger.propagate = False
    try:
        logger.error("Exception while serving %s", f"/s/{CODE}")
        try:
            raise LookupError(f"no setup {CODE}")
        except LookupError:
            logger.exception("failed")
    finally:
        logger.removeHandler(handler)
        logger.propagate = True
    assert CODE not in stream.getvalue()
    assert "LookupError: no setup [masked]" in stream.getvalue()


def test_an_unforeseen_error_is_a_page_and_a_log_line_without_the_code(
    make_app: Make, caplog: pytest.LogCaptureFixture
) -> None:
    app = make_app(TESTING=False)

    def break_down(code: str) -> str:
        raise ZeroDivisionError(f"broken for {code}")

    app.add_url_rule("/s/<code>/broken", view_func=break_down)
    with caplog.at_level(logging.ERROR):
        answer = app.test_client().get(f"/s/{CODE}/broken")
    assert answer.status_code == 500
    assert "not your fault" in answer.text
    assert "ZeroDivisionError" not in answer.text
    assert "ZeroDivisionError" in caplog.text
    assert CODE not in caplog.text


@pytest.mark.parametrize("path", ["/", "/shop/log-in", "/shop/open/x"])
def test_a_form_sent_over_http_where_https_is_served_is_told_what_is_wrong(make_app: Make, path: str) -> None:
    client = make_app(WTF_CSRF_ENABLED=True).test_client()
    if path.endswith("x"):
        path = "/shop/log-out"  # its token is checked by the extension, not by a form
    answer = client.post(path, data={"rider_mass_kg": "78"}, base_url="http://cards.example")
    assert answer.status_code in (400, 422)
    assert "https://cards.example" in answer.text.partition("<main")[2]
    assert "opened over http" in answer.text
    stale = client.post("/", data={"rider_mass_kg": "78"}, base_url="https://cards.example")
    assert "open for too long" in stale.text
    assert "opened over http" not in stale.text
