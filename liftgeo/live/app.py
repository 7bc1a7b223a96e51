"""The page's server: one page, its questions, and who may ask them.

It answers on this machine alone. A request whose Host is another name is refused (a page elsewhere
that points its own name at this machine sends one), and so is a question whose Origin is another
page's. The page may load nothing from elsewhere.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, TypeAlias

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from liftgeo.errors import GeometryError, LiftgeoError
from liftgeo.live.answers import faults_of, first_look, second_look
from liftgeo.live.desk import ChangedOnDiskError, Desk, NameTakenError, begun, kinds_of
from liftgeo.live.entries import as_typed, groups_of, groups_to_start, slider_at
from liftgeo.live.pages import file_page, picture_of, scene_html, start_page, static
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.tables import TABLES
from liftgeo.plain_text import one_line
from liftgeo.words.live_page import for_page
from liftgeo.words.verdict import titled

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

    from liftgeo.live.entries import Group
    from liftgeo.live.mending import Faulty
    from liftgeo.mechanism import Mechanism

Told: TypeAlias = Mapping[str, Any]
WritesUp: TypeAlias = "Callable[[Mechanism, str], str]"
"""A mechanism and its units become the HTML of a write-up."""

Question: TypeAlias = Callable[[Told], Response | Mapping[str, Any]]

LARGEST_QUESTION = 200_000
_HERE = re.compile(r"(127\.0\.0\.1|localhost)(:\d{1,5})?")
_SAFE = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "img-src 'self' data:; connect-src 'self'; form-action 'none'; base-uri 'none'; "
    "frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "Cross-Origin-Resource-Policy": "same-origin",
}


class Guard:
    """Lets by only what this machine's own page asks; each answer says what the page may load."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        headers = {name.decode("latin-1"): v.decode("latin-1") for name, v in scope["headers"]}
        refused = _refusal(scope, headers)
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return
        if refused:
            await JSONResponse({"error": refused}, 403, _SAFE)(scope, receive, send)
            return

        async def safely(message: Message) -> None:
            if message["type"] == "http.response.start":
                own = [(k.lower().encode(), v.encode()) for k, v in _SAFE.items()]
                message["headers"] = [*message.get("headers", []), *own]
            await send(message)

        await self._app(scope, receive, safely)


def _refusal(scope: Scope, headers: Mapping[str, str]) -> str:
    """Return why a request is refused; empty where it is not."""
    host = headers.get("host", "")
    here = _HERE.fullmatch(host)
    port = (scope.get("server") or ("", None))[1]
    if here is None or (port and here[2] != f":{port}" and not (port == 80 and not here[2])):
        return "This page answers to localhost and 127.0.0.1 alone."
    origin = headers.get("origin")
    if origin is not None and origin != f"http://{host}":
        return "Another page asked; only this page's own questions are answered."
    if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return "Another page asked; only this page's own questions are answered."
    if scope.get("method") == "POST" and not headers.get("content-type", "").startswith(
        "application/json"
    ):
        return "A question is asked in JSON."
    return ""


def application(desk: Desk, write_up: WritesUp | None = None, units: str = "metric") -> ASGIApp:
    """Return the page's server as an ASGI application.

    Parameters
    ----------
    desk : Desk
        The file it works on.
    write_up : callable, optional
        Makes the write-up that can be downloaded.
    units : {"metric", "inch"}
        Units shown.
    """
    asked = _Questions(desk, write_up, units)
    routes = [
        Route("/", _page(asked.page)),
        Route("/live.js", lambda _: static("live.js", "text/javascript")),
        Route("/live.css", lambda _: static("live.css", "text/css")),
        Route("/kind/{table}/{kind}.svg", asked.kind_picture),
        *(
            Route(f"/{name}", _question(question), methods=["POST"])
            for name, question in asked.by_name().items()
        ),
    ]
    return Guard(Starlette(routes=routes))


def _page(make: Callable[[], str]) -> Callable[[Request], Any]:
    async def answer(_: Request) -> Response:
        try:
            text = await run_in_threadpool(make)
        except LiftgeoError as error:
            return Response(str(error), 500, media_type="text/plain; charset=utf-8")
        return Response(text, media_type="text/html; charset=utf-8")

    return answer


def _question(ask: Question) -> Callable[[Request], Any]:
    """Return an endpoint that puts a request's JSON to a question, and says what went wrong."""

    async def answer(request: Request) -> Response:
        body = b""
        async for chunk in request.stream():
            body += chunk
            if len(body) > LARGEST_QUESTION:
                return JSONResponse({"error": "That is more than a form holds."}, 413)
        try:
            told = json.loads(body or b"{}")
            if not isinstance(told, dict):
                raise ValueError
        except ValueError:
            return JSONResponse({"error": "That is no JSON."}, 400)
        return await run_in_threadpool(_answered, ask, told)

    return answer


def _answered(ask: Question, told: Told) -> Response:
    try:
        found = ask(told)
    except ChangedOnDiskError as error:
        said = "The file was changed on the disk since this page read it."
        if error.gone:
            said = "The file is not there any more: somebody deleted, moved or renamed it."
        return JSONResponse({"error": said, "changed": True, "gone": error.gone}, 409)
    except NameTakenError as error:
        said = f"The file has a change called {error} already."
        return JSONResponse({"error": said, "taken": True}, 409)
    except LiftgeoError as error:
        return JSONResponse({"error": for_page(str(error))}, 422)
    return found if isinstance(found, Response) else JSONResponse(found)


class _Questions:
    """What the page may ask; every question brings the whole trial with it."""

    def __init__(self, desk: Desk, write_up: WritesUp | None, units: str) -> None:
        self._desk, self._write_up, self._units = desk, write_up, units

    def by_name(self) -> dict[str, Question]:
        """Return every question under the name that it is asked by."""
        return {
            "form": self.form,
            "look": self.look,
            "sure": self.sure,
            "stands": self.stands,
            "again": self.again,
            "anew": self.anew,
            "lay": self.lay,
            "keep": self.keep,
            "bench": self.bench,
            "mend": self.mend,
            "save": self.save,
            "figure": self.figure,
            "drawing": self.drawing,
            "report": self.report,
        }

    def page(self) -> str:
        """Return the page itself."""
        if self._desk.path is None:
            return start_page()
        try:
            mark, mechanism = self._desk.read()
        except GeometryError:
            return file_page(self._desk.name, self._desk.read_faulty()[0], None, self._units)
        return file_page(self._desk.name, mark, mechanism, self._units)

    def kind_picture(self, request: Request) -> Response:
        """Return the picture of a kind of part, to choose it by."""
        svg = picture_of(request.path_params["table"], request.path_params["kind"])
        if svg is None:
            return Response("There is no such kind.", 404)
        return Response(svg, media_type="image/svg+xml")

    def _over(self, told: Told) -> dict[str, str]:
        over = told.get("over", {})
        if not isinstance(over, dict):
            return {}
        return {str(key): str(text)[:500] for key, text in over.items()}

    def _kinds(self, told: Told) -> dict[str, str]:
        kinds = told.get("kinds", {})
        return kinds_of(
            {str(k): str(v) for k, v in kinds.items()} if isinstance(kinds, dict) else {}
        )

    def _faulty(self, told: Told) -> Faulty | None:
        return self._desk.faulty(str(told.get("mark", "")))

    def _mechanism(self, told: Told) -> Mechanism:
        over = self._over(told)
        if self._desk.path is None or not told.get("mark"):
            return begun(self._kinds(told), over)
        faulty = self._faulty(told)
        if faulty is not None:
            return faulty.tried(over)
        return self._desk.tried(str(told["mark"]), over)

    def _groups(self, told: Told) -> list[Group]:
        if self._desk.path is None or not told.get("mark"):
            return groups_to_start(self._kinds(told), self._over(told), self._units)
        mark = str(told["mark"])
        faulty = self._faulty(told)
        if faulty is not None:
            return faulty.groups(self._units)
        kept = self._desk.kept(mark)
        try:
            tried = self._desk.tried(mark, self._over(told))
        except GeometryError:  # its own look says what is wrong
            tried = kept.mechanism
        return groups_of(tried, kept.mechanism, kept.bench, self._units)

    def _sound(self, told: Told) -> bool:
        """Return whether a page works on a file without faults."""
        return bool(self._desk.path and told.get("mark")) and self._faulty(told) is None

    def form(self, told: Told) -> Mapping[str, Any]:
        """Return the fields of the form, and the changes that the file has."""
        changes: list[dict[str, Any]] = []
        if self._sound(told):
            changes = [
                {
                    "name": change.name,
                    "note": one_line(change.note),
                    "keys": {key: as_typed(value) for key, value in change.keys.items()},
                }
                for change in self._desk.stock(str(told["mark"])).changes.values()
            ]
        groups = [group.to_dict() for group in self._groups(told)]
        over = self._over(told)
        for entry in (entry for group in groups for entry in group["entries"]):
            if entry["key"] in over:
                entry["slider"] = (self._field({**told, "field": entry["key"]}) or {})["slider"]
        return {"groups": groups, "changes": changes}

    def look(self, told: Told) -> Mapping[str, Any]:
        """Return the nominal answer to a trial, or what is wrong with it."""
        field = self._field(told)
        try:
            mechanism = self._mechanism(told)
        except GeometryError as error:
            return {"faults": faults_of(error, self._groups(told)), "field": field}
        stock = None
        if self._sound(told):
            stock = self._desk.stock(str(told["mark"]))
        found = first_look(mechanism, self._units, _share(told.get("place")), stock)
        scene = found.pop("scene")
        stand = scene.stand()
        if told.get("drawn") != stand["form"]:
            found["scene"] = scene_html(scene)
        return {**found, "stand": stand, "field": field}

    def _field(self, told: Told) -> Mapping[str, Any] | None:
        """Return where the slider stands of the field that was typed into last."""
        key = told.get("field")
        if not isinstance(key, str):
            return None
        keys: Mapping[str, Any] = {f"{t}.kind": k for t, k in self._kinds(told).items()}
        stands = ""
        faulty = self._faulty(told)
        if faulty is not None:
            keys, stands = faulty.flat, as_typed(faulty.flat.get(key))
        elif self._sound(told):
            stock = self._desk.stock(str(told["mark"]))
            keys, stands = stock.keys, as_typed(stock.given.get(key))
        text = self._over(told).get(key, stands)
        table = key.split(".")[0]
        kind = kind_of(keys, table) if table in TABLES else ""
        slider = slider_at(key, text, stands, kind, self._units)
        return {"key": key, "slider": None if slider is None else asdict(slider)}

    def sure(self, told: Told) -> Mapping[str, Any]:
        """Return how sure the answer to a trial is, and every place of the lever."""
        return second_look(self._mechanism(told), self._units)

    def stands(self, _: Told) -> Mapping[str, Any]:
        """Return the mark of the file as it stands on the disk; empty where it cannot be read."""
        return {"mark": self._desk.stands()}

    def again(self, _: Told) -> Mapping[str, Any]:
        """Read the file as it stands on the disk now."""
        mark, mechanism = self._desk.read()
        return {"mark": mark, "title": titled(mechanism.title, None) or self._desk.name}

    def anew(self, told: Told) -> Mapping[str, Any]:
        """Write the file as the page read it, where none is there any more."""
        return {"mark": self._desk.anew(str(told.get("mark", ""))), "file": self._desk.name}

    def lay(self, told: Told) -> Mapping[str, Any]:
        """Return a trial with a change of the file laid over it."""
        name = str(told.get("name", ""))
        return {"over": self._desk.lay(str(told.get("mark", "")), self._over(told), name)}

    def bench(self, told: Told) -> Mapping[str, Any]:
        """Write what was read on the bench into the file."""
        mark, anyway = str(told.get("mark", "")), told.get("anyway") is True
        mark = self._desk.keep_bench(mark, self._over(told), anyway=anyway)
        return {"mark": mark, "file": self._desk.name}

    def keep(self, told: Told) -> Mapping[str, Any]:
        """Write a trial into the file as a change."""
        mark = self._desk.keep(
            str(told.get("mark", "")),
            one_line(str(told.get("name", ""))),
            self._over(told),
            str(told.get("note", "")),
            anyway=told.get("anyway") is True,
            instead=told.get("instead") is True,
        )
        return {"mark": mark, "file": self._desk.name}

    def mend(self, told: Told) -> Mapping[str, Any]:
        """Write what was put right into a file with faults."""
        mark = self._desk.mend(str(told.get("mark", "")), self._over(told))
        return {"mark": mark, "file": self._desk.name}

    def save(self, told: Told) -> Mapping[str, Any]:
        """Write a machine that was filled in here into a new file."""
        name, title = str(told.get("name", "")), str(told.get("title", ""))
        self._desk.save_new(name, title, self._kinds(told), self._over(told))
        return {"file": self._desk.name}

    def figure(self, told: Told) -> Response:
        """Return the page of figures as PDF."""
        from liftgeo.figures.output import render
        from liftgeo.figures.page import page
        from liftgeo.outcome.analysis import stroke
        from liftgeo.outcome.bands import bands_of
        from liftgeo.outcome.known import known

        mechanism = self._mechanism(told)
        mechanism.need_full("A figure")
        result = stroke(mechanism)
        bands = bands_of(mechanism, result)
        drawn = page(result, mechanism, self._units, bands, known(mechanism))
        return Response(render(drawn, ".pdf"), media_type="application/pdf")

    def drawing(self, told: Told) -> Response:
        """Return the mechanism to scale as a picture that travels alone."""
        from liftgeo.live.pages import drawing_of

        return Response(drawing_of(self._mechanism(told), self._units), media_type="image/svg+xml")

    def report(self, told: Told) -> Response:
        """Return the write-up as HTML."""
        if self._write_up is None:
            return Response("There is no write-up here.", 404)
        text = self._write_up(self._mechanism(told), self._units)
        return Response(text, media_type="text/html; charset=utf-8")


def _share(place: Any) -> float:
    """Return a share of the travel; full lever where it is none."""
    return float(place) if isinstance(place, int | float) and 0 <= place <= 1 else 1.0
