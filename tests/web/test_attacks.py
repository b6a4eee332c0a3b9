"""What others on the network, in the browser and on this computer may try against the page.

The rules are those of the published standards: Host and Origin (RFC 9110, RFC 6454), Fetch Metadata
Request Headers (W3C), Content Security Policy 3 (W3C), cookies (RFC 6265bis, from memory).
"""

from __future__ import annotations

import io
import socket
import threading
import time
import zipfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from sheets.cli.main import main
from sheets.web.guard import Guard
from tests.web.served import FOUR, Served, served

DRAWING = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 40">'
    b'<path d="M5 5H35V35H5Z" fill="none" stroke="#000" stroke-width="2"/></svg>'
)


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("teacher")
    (folder / "class.csv").write_text(FOUR, "utf-8")
    (folder.parent / "outside.csv").write_text("name\nSecret\n", "utf-8")
    (folder.parent / "outside.svg").write_bytes(DRAWING)
    with served(folder) as running:
        yield running


def listed(page: Served) -> str:
    return (page.folder / "class.csv").read_text("utf-8")


# --- who may ask ----------------------------------------------------------------------------------


def test_the_page_listens_on_this_computer_only(page: Served) -> None:
    others = {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None)}
    for address in {str(other) for other in others} - {"127.0.0.1", "::1"}:
        if ":" in address:
            continue
        with pytest.raises(OSError, match=r"refused|unreachable|timed out"):
            socket.create_connection((address, page.port), timeout=2).close()
    assert page.ask("/").status == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "127.0.0.1:1", "127.0.0.1.evil.example"]
)
def test_a_name_that_was_pointed_here_is_refused(page: Served, host: str) -> None:
    for path in ("/", f"/enter/{page.token}", "/static/page.css"):
        assert page.ask(path, headers={"Host": host}).status == 403


def test_without_the_cookie_nothing_is_shown(page: Served) -> None:
    kept, page.cookie = page.cookie, ""
    try:
        for path in ("/", "/class", "/static/page.js", "/class/copy/csv", "/nothing"):
            answer = page.ask(path)
            assert answer.status == 403
            assert "Bo" not in answer.text
        page.cookie = kept[:-1] + ("a" if kept[-1] != "a" else "b")
        assert page.ask("/").status == 403
    finally:
        page.cookie = kept


def test_a_wrong_token_opens_nothing(page: Served) -> None:
    for token in ("", "x", page.token[:-1], page.token + "x", "%00", "ä"):
        answer = page.ask(f"/enter/{token.encode().hex() if token == 'ä' else token}")
        assert answer.status in (403, 404)
        assert "Set-Cookie" not in answer.headers


def test_the_cookie_is_for_this_port_and_no_script(page: Served) -> None:
    cookie = page.enter().headers["Set-Cookie"]
    assert cookie.startswith(f"tablework-{page.port}=")
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Origin": "http://127.0.0.1:1"},
        {"Origin": "https://evil.example"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "same-site"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "none"},
        {"Origin": "http://127.0.0.1:1", "Sec-Fetch-Site": "same-origin"},
    ],
)
def test_another_page_changes_nothing(page: Served, headers: dict[str, str]) -> None:
    """The browser sends the cookie to every port of 127.0.0.1; where it comes from tells."""
    before = listed(page)
    given = {"Content-Type": "application/x-www-form-urlencoded", **headers}
    for path in ("/class/add", "/undo", "/packet/start", "/theme/new"):
        assert page.ask(path, "POST", b"title=x&row=1", given).status == 403
    assert listed(page) == before
    assert list(page.folder.glob("*.toml")) == []


def test_another_page_reads_nothing(page: Served) -> None:
    for site in ("same-site", "cross-site"):
        assert page.ask("/class", headers={"Sec-Fetch-Site": site}).status == 403


@pytest.mark.parametrize("where", ["iframe", "frame", "embed", "object", "fencedframe"])
def test_no_frame_shows_the_page(page: Served, where: str) -> None:
    for path in ("/", f"/enter/{page.token}"):
        assert page.ask(path, headers={"Sec-Fetch-Dest": where}).status == 403


def test_reading_changes_nothing(page: Served) -> None:
    """No address that can be followed is one that changes something."""
    for path in ("/class/add", "/undo", "/theme/new", "/packet/start", "/pages/leave-out"):
        assert page.ask(path).status in (404, 405)


# --- what every answer says -----------------------------------------------------------------------


def test_headers_of_every_answer(page: Served) -> None:
    for path in ("/", "/static/page.js", "/class", "/no-such-place", "/preview/1/cutting/page/0"):
        answer = page.ask(path)
        assert answer.headers["Cache-Control"] == "no-store"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Referrer-Policy"] == "same-origin"
        assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"
        policy = answer.headers["Content-Security-Policy"]
        if answer.headers["Content-Type"].startswith("image/svg+xml"):
            assert policy == "default-src 'none'; sandbox"
        else:
            assert "default-src 'none'" in policy
            assert "unsafe" not in policy
            assert "frame-ancestors 'none'" in policy


def test_no_name_stands_in_an_address_or_a_log(page: Served) -> None:
    text = page.ask("/").text + page.ask("/pages").text + page.ask("/pages/1").text
    addresses = [part.partition('"')[0] for key in ('href="', 'src="', 'hx-get="', 'hx-post="')
                 for part in text.split(key)[1:]]  # fmt: skip
    assert len(addresses) > 40
    for name in ("Bo", "Zuz", "Pip", "Ada", "class.csv"):
        assert [one for one in addresses if name in one] == []


# --- files ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "path",
    ["/static/../app.py", "/static/%2e%2e/app.py", "/static/..%2fapp.py", "/static//etc/passwd",
     "/packet/../class.csv", "/packet/..%2fclass.csv", "/packet/class.csv",
     "/packet/%2fetc%2fpasswd",
     "/picture/..%2f..%2foutside", "/picture/outside.svg", "/drawing/0", "/class/copy/..%2f"],
)  # fmt: skip
def test_no_address_leads_to_another_file(page: Served, path: str) -> None:
    answer = page.ask(path)
    assert answer.status in (404, 422)
    assert b"def " not in answer.body
    assert b"root:" not in answer.body
    assert b"Bo" not in answer.body


@pytest.mark.parametrize(
    "name", ["../outside.csv", "/etc/passwd", "..", "", "class.csv/../../outside.csv"]
)
def test_no_field_leads_to_another_file(page: Served, name: str) -> None:
    for path in ("/class/open", "/theme/open"):
        answer = page.post(path, {"name": name})
        assert answer.status == 422
        assert "Secret" not in answer.text
    words = page.post(
        "/single", {"kind": "cutting", "stage": "4", "words": f"{name}.svg", "hand": "left"}
    )
    assert words.status == 422


def test_drawings_outside_the_folder_are_not_words_of_a_sheet(page: Served) -> None:
    for words in ("../outside.svg", "x:../outside.svg", str(page.folder.parent / "outside.svg")):
        answer = page.post(
            "/single", {"kind": "cutting", "stage": "4", "words": words, "hand": "left"}
        )
        assert answer.status == 422
        assert "no drawing" in answer.text


def test_a_theme_takes_no_picture_from_elsewhere(page: Served) -> None:
    page.post("/theme/new", {"title": "Own", "copy": "1"})
    try:
        before = (page.folder / "own.toml").read_text("utf-8")
        for fields in (
            {"path": "words", "value": "x", "picture": "../outside.svg"},
            {"path": "sequences.0.steps", "value": "x:../outside.svg"},
            {"path": "__class__.x", "value": "x"},
            {"path": "words.9999", "value": "x"},
        ):
            assert page.post("/theme/add", fields).status == 422
        assert (page.folder / "own.toml").read_text("utf-8") == before
    finally:
        page.post("/theme/open", {"name": "reedy-pond"})
        (page.folder / "own.toml").unlink()


def test_an_uploaded_name_is_no_path(page: Served) -> None:
    answer = page.upload("/class/bring", FOUR.encode(), name="../../evil.csv")
    assert answer.status == 200
    assert (page.folder / "evil.csv").is_file()
    assert not (page.folder.parent / "evil.csv").exists()
    page.post("/class/open", {"name": "class.csv"})
    (page.folder / "evil.csv").unlink()


def test_a_packet_is_not_written_where_something_else_lies(page: Served) -> None:
    mine = page.folder / "reedy-pond-packet"
    mine.mkdir()
    (mine / "plain.pdf").write_text("my own")
    assert page.post("/packet/start").status == 200
    for _ in range(600):
        if 'id="packet-done"' in page.ask("/packet/progress").text:
            break
        time.sleep(0.1)
    assert (page.folder / "reedy-pond-packet-2" / "plain.pdf").read_bytes().startswith(b"%PDF")
    assert [file.name for file in mine.iterdir()] == ["plain.pdf"]
    assert (mine / "plain.pdf").read_text() == "my own"


# --- too much -------------------------------------------------------------------------------------


def test_an_upload_that_is_too_large_is_refused(page: Served) -> None:
    answer = page.upload("/check", b"<svg>" + b" " * 5_000_000, skill="cutting", stage="3")
    assert answer.status == 413
    assert "larger than 4 MB" in answer.text


def test_a_form_with_too_many_or_too_long_fields_is_refused(page: Served) -> None:
    assert page.upload("/check", DRAWING, **{f"field{i}": "x" for i in range(1000)}).status == 413
    assert page.upload("/check", DRAWING, skill="x" * 2_000_000).status == 413


def test_a_book_that_unpacks_to_too_much_is_refused(page: Served) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        archive.writestr("[Content_Types].xml", "<x/>")
        with archive.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as part:
            for _ in range(150):
                part.write(b"0" * 1_000_000)
    assert len(out.getvalue()) < 1_000_000
    before = sorted(file.name for file in page.folder.iterdir())
    began = time.monotonic()
    answer = page.upload("/class/bring", out.getvalue(), name="bomb.xlsx")
    assert answer.status == 422
    assert time.monotonic() - began < 10
    assert sorted(file.name for file in page.folder.iterdir()) == before


HOSTILE = {
    "entities": b'<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;">]>'
    b'<svg xmlns="http://www.w3.org/2000/svg"><title>&b;</title></svg>',
    "file": b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>'
    b'<svg xmlns="http://www.w3.org/2000/svg"><text>&a;</text></svg>',
    "no svg": b"<html><script>alert(1)</script></html>",
    "not xml": b"\x00\x01\x02",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_drawing_is_refused_in_one_line(page: Served, name: str) -> None:
    answer = page.upload("/check", HOSTILE[name], skill="cutting", stage="3")
    assert answer.status == 422
    assert "root:" not in answer.text
    assert "<script" not in answer.text


def test_a_script_in_a_drawing_does_not_come_back(page: Served) -> None:
    drawing = DRAWING.replace(
        b"</svg>", b'<script>alert(1)</script><path onload="alert(2)" d="M6 6H20"/></svg>'
    )
    answer = page.upload("/check", drawing, name="<script>x.svg", skill="cutting", stage="3")
    assert answer.status in (200, 422)
    assert "<script" not in answer.text
    if answer.status == 200:
        number = answer.text.partition('src="/check/')[2].partition("/")[0]
        shown = page.ask(f"/check/{number}/0")
        assert b"alert" not in shown.body


def test_a_slow_client_keeps_nobody_waiting(page: Served) -> None:
    slow = [socket.create_connection(("127.0.0.1", page.port)) for _ in range(30)]
    try:
        for one in slow:
            one.sendall(b"POST /class/add HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 99")
        began = time.monotonic()
        assert page.ask("/").status == 200
        assert time.monotonic() - began < 5
    finally:
        for one in slow:
            one.close()


def test_a_silent_client_is_let_go(page: Served) -> None:
    """After ten seconds; nothing of the program waits for ever."""
    with socket.create_connection(("127.0.0.1", page.port)) as silent:
        silent.sendall(b"GET / HTTP/1.1\r\n")
        silent.settimeout(30)
        assert silent.recv(10) == b""


def test_two_hundred_requests_at_once_are_answered(page: Served) -> None:
    row = page.ask("/class").text.partition('id="row-')[2].partition('"')[0]

    def asked(number: int) -> int:
        path = ("/", f"/pages/{row}", f"/preview/{row}/cutting/page/0", "/class")[number % 4]
        return page.ask(path, timeout=120).status

    with ThreadPoolExecutor(200) as pool:
        found = list(pool.map(asked, range(200)))
    assert found == [200] * 200


def test_odd_requests_get_an_answer_and_no_traceback(page: Served) -> None:
    for path, fields in (
        ("/class/cell", {"row": "1", "column": "__class__", "value": "1"}),
        ("/class/cell", {"row": "999", "column": "cutting", "value": "1"}),
        ("/class/cell", {"row": "-1", "column": "cutting"}),
        ("/class/remove", {"row": "1e9"}),
        ("/class/paste", {"text": ""}),
        ("/theme/move", {"path": "words.0", "to": "x"}),
        ("/theme/set", {"path": "words", "value": "x"}),
        ("/theme/plan", {"day": "someday", "kinds": "cutting"}),
        ("/theme/thing", {"id": "nothing"}),
        ("/theme/thing", {"name": "tub", "width": "x"}),
        ("/single", {"kind": "nothing", "stage": "1"}),
        ("/single", {"kind": "cutting", "stage": "99", "hand": "left"}),
        ("/print/choose", {}),
        ("/print/bar", {"bar_measures": "9"}),
        ("/pages/another", {"row": "1", "kind": "nothing"}),
    ):
        answer = page.post(path, fields)
        assert answer.status == 422, (path, fields, answer.status, answer.text)
        assert "<li>" in answer.text
        assert "Traceback" not in answer.text


# --- starting and stopping ------------------------------------------------------------------------


def test_ctrl_c_ends_it_and_closes_the_port(tmp_path: Path) -> None:
    with served(tmp_path) as running:
        idle = socket.create_connection(("127.0.0.1", running.port))
        threading.Timer(0.1, idle.close).start()
        code, out, err = running.stop()
        assert code == 0
        assert "stopped" in out
        assert err == ""
        with pytest.raises(OSError, match="refused"):
            socket.create_connection(("127.0.0.1", running.port), timeout=2)


def test_the_address_for_the_browser_opens_the_page_once() -> None:
    """Others on this computer may see the command line of the browser that is started."""
    guard = Guard(1)
    assert guard.enters(guard.token)
    once = guard.once
    assert guard.enters(once)
    assert not guard.enters(once)
    assert not guard.enters("")
    assert guard.enters(guard.token)


def test_the_browser_is_opened_unless_it_is_not_wanted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    seen: list[str] = []
    monkeypatch.setattr("webbrowser.open", seen.append)
    server = "werkzeug.serving.BaseWSGIServer"
    monkeypatch.setattr(f"{server}.serve_forever", lambda self: self.server_close())
    assert main(["page", "--folder", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert len(seen) == 1
    assert seen[0].rpartition("/")[0] in said
    assert seen[0] not in said
    assert main(["page", "--folder", str(tmp_path), "--no-browser"]) == 0
    assert len(seen) == 1


def test_a_taken_port_and_a_missing_folder_are_told_in_one_line(
    page: Served, capsys: pytest.CaptureFixture[str]
) -> None:
    assert (
        main(["page", "--no-browser", "--port", str(page.port), "--folder", str(page.folder)]) == 2
    )
    assert capsys.readouterr().err.startswith(f"tablework: --port: port {page.port} cannot be had;")
    assert main(["page", "--no-browser", "--folder", str(page.folder / "no")]) == 2
    assert "no such folder" in capsys.readouterr().err


def test_nothing_is_logged(tmp_path: Path) -> None:
    (tmp_path / "class.csv").write_text(FOUR, "utf-8")
    with served(tmp_path) as running:
        running.ask("/pages/1")
        running.post("/class/cell", {"row": "1", "column": "name", "value": "Jo"})
        _, out, err = running.stop()
        assert err == ""
        assert "Bo" not in out
        assert "GET" not in out
