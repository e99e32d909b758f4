"""The kernel's end of a page: the components of a workbook, spoken for over one comm a page.

What a notebook does with a comm for every widget is done here with one for all. Each widget still believes it has a
comm of its own, and what it says on it is passed on to every page with the name of the component; so the components,
and whatever new ones there will be, are the same as in a notebook. A kernel that serves a page serves nothing else.

To a page go ``{"say": "open" | "traits" | "event" | "mount" | "html" | "standings" | "done", …}``; from it come
``{"n": number, "key": component, "traits": {…}}`` or ``{"n": number, "key": component, "press": {…}}``, and each is
answered by ``{"say": "done", "n": number}`` when all that follows from it has been said.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import comm
from comm.base_comm import BaseComm

from probebook.page.opening import TARGET
from probebook.page.standing import Standings, page_words, standings
from probebook.questions.codec import read_sheet
from probebook.workbook.finding import NotebookError, OtherScenariosError, find_sheet
from probebook.workbook.forms.form import Form
from probebook.workbook.forms.model import Component
from probebook.workbook.forms.verdict import notice_html
from probebook.workbook.journal import SUFFIX
from probebook.workbook.player import Workbook

__all__ = ["Host", "attend", "component_state"]

#: Places of a page beside those of its questions, which are called by the ids of these.
PRACTICE, FRESH, KNOWN = "practice", "fresh", "known"

#: More pages than these are not spoken to any more, the oldest first: they have been left without a word.
MOST_PAGES = 16
#: A page has its style sheets as files.
_STYLE = re.compile(r"<style>.*?</style>", re.DOTALL)

_attended: dict[Path, Host] = {}


def attend(name: str, folder: Path | None = None) -> Host:
    """Serve the pages of a workbook in this kernel, once.

    Raises
    ------
    NotebookError
        The answer key is missing or cannot be used.
    """
    here = (folder or Path.cwd()).resolve()
    journal = here / f"{name}{SUFFIX}"
    if journal not in _attended:
        host = Host()
        comm.create_comm = host.channel
        host.open(Workbook(name, read_sheet(find_sheet(name, here)), journal))
        comm.get_comm_manager().register_target(TARGET, host.attach)
        _attended[journal] = host
    return _attended[journal]


class _Channel(BaseComm):
    """The comm of one widget, as the widget knows it: what it says goes to the host."""

    host: Host | None = None

    def publish_msg(
        self,
        msg_type: str,
        data: dict[str, Any] | None = None,
        metadata: dict[str, Any] | None = None,
        buffers: list[bytes] | None = None,
        **keys: Any,
    ) -> None:
        del metadata, buffers, keys
        if self.host is not None and msg_type == "comm_msg" and data:
            self.host.said(self.comm_id, data)


def component_state(component: Component, names: Iterable[str] | None = None) -> dict[str, Any]:
    """The traits of a component that it has beyond those of all components, as plain JSON data."""
    own = set(type(component).class_trait_names(sync=True)) - set(Component.class_trait_names(sync=True))
    own = {name for name in own if not name.startswith("_")}
    wanted = own if names is None else own.intersection(names)
    return dict(component.get_state(sorted(wanted))) if wanted else {}


class Host:
    """Holds the components of one workbook for its pages."""

    def __init__(self) -> None:
        self._book: Workbook | None = None
        self._pages: list[Any] = []
        self._components: dict[str, Component] = {}
        self._places: dict[str, list[str]] = {}
        self._html: dict[str, str] = {}
        self._elsewhere: set[str] = set()
        self._shown: Standings | None = None

    def channel(self, *args: Any, **keys: Any) -> _Channel:
        """A comm for a widget that is made now."""
        made = _Channel(*args, **keys)
        made.host = self
        return made

    # ------------------------------------------------------------ the workbook

    def open(self, book: Workbook) -> None:
        """Make the forms of a workbook, and its practice; those that no page can show are left to a notebook."""
        self._book = book
        self._words = page_words(str(book.sheet.meta.get("language") or ""))
        for question in book.sheet.questions:
            try:
                self._mount_form(question.id, book.form(question.id))
            except OtherScenariosError as error:
                self._html[question.id] = notice_html([str(error)])
        self._open_practice(book)

    def _mount_form(self, place: str, form: Form) -> None:
        if form.is_whole:
            self._mount(place, ((place, component) for component in form.components))
        else:
            self._elsewhere.add(place)

    def _open_practice(self, book: Workbook) -> None:
        try:
            practice = book.practising()
        except (NotebookError, OtherScenariosError) as error:
            self._html[PRACTICE] = notice_html([str(error)])
            return

        def follow(*_: object) -> None:
            form = practice.form
            held = form.components if form is not None and form.is_whole else ()
            named = [(form.question.id, component) for component in held] if form is not None else []
            self._mount(PRACTICE, ((PRACTICE, practice.model), *named))
            self._elsewhere.discard(FRESH)
            if form is not None and not form.is_whole:
                self._elsewhere.add(FRESH)
            self._tell({"say": "elsewhere", "places": sorted(self._elsewhere)})

        def know(*_: object) -> None:
            self._show(KNOWN, _STYLE.sub("", practice.known.value))

        practice.place.observe(follow, "children")
        practice.known.observe(know, "value")
        follow()
        know()

    def _mount(self, place: str, components: Iterable[tuple[str, Component]]) -> None:
        """Put components, each named by its question, into a place, instead of those that stood there."""
        before, keys = self._places.get(place, []), []
        for name, component in components:
            key = f"{name}/{component.entry}"
            self._components[key] = component
            keys.append(key)
        for key in before:
            if key not in keys:
                self._components.pop(key, None)
        self._places[place] = keys
        self._tell({"say": "mount", "place": place, "components": self._told(keys)})

    def _show(self, place: str, html: str) -> None:
        self._html[place] = html
        self._tell({"say": "html", "place": place, "html": html})

    def _told(self, keys: Iterable[str]) -> list[dict[str, Any]]:
        return [
            {
                "key": key,
                "module": f"{self._components[key].folder}/{self._components[key].entry}",
                "sheets": list(self._components[key].sheets),
                "traits": component_state(self._components[key]),
            }
            for key in keys
        ]

    # ------------------------------------------------------------ pages

    def attach(self, page: Any, message: Mapping[str, Any]) -> None:
        """A page has opened its comm: tell it all, and listen to it."""
        del message
        self._pages = [*self._pages[1 - MOST_PAGES :], page]
        page.on_msg(lambda told: self.hear(page, told["content"]["data"]))
        page.on_close(lambda _: self._leave(page))
        page.send(self._whole())

    def _leave(self, page: Any) -> None:
        if page in self._pages:
            self._pages.remove(page)

    def _whole(self) -> dict[str, Any]:
        assert self._book is not None
        return {
            "say": "open",
            "notices": self._book.notices()[1:],
            "places": {place: self._told(keys) for place, keys in self._places.items()},
            "html": self._html,
            "elsewhere": sorted(self._elsewhere),
            "standings": self._standings().told(self._words),
        }

    def _standings(self) -> Standings:
        assert self._book is not None
        book = self._book
        return standings(book.sheet, book.answers, book.words)

    def hear(self, page: Any, told: object) -> None:
        """Do what a page asks for: change traits of a component, or press something in it."""
        if not isinstance(told, dict):
            return
        try:
            component = self._components.get(str(told.get("key")))
            if component is not None:
                self._do(page, str(told["key"]), component, told)
        finally:
            if "press" in told:
                self._tell_standings()
            page.send({"say": "done", "n": told.get("n")})

    def _tell_standings(self) -> None:
        now = self._standings()
        if now != self._shown:
            self._shown = now
            self._tell({"say": "standings", "standings": now.told(self._words)})

    def _do(self, page: Any, key: str, component: Component, told: Mapping[str, Any]) -> None:
        traits, press = told.get("traits"), told.get("press")
        if isinstance(traits, dict):
            known = component_state(component, traits)
            given = {name: value for name, value in traits.items() if name in known}
            component.comm.handle_msg(_message({"method": "update", "state": given, "buffer_paths": []}))
            # Other pages of the same workbook follow.
            # … and are told what stands now: a component may refuse a change.
            self._tell({"say": "traits", "key": key, "traits": component_state(component, given)}, but=page)
        if isinstance(press, dict):
            component.comm.handle_msg(_message({"method": "custom", "content": press}))

    def said(self, comm_id: str, data: Mapping[str, Any]) -> None:
        """A widget has said something on its comm: pages are told if it is a component they hold."""
        key = next((key for key, held in self._components.items() if held.comm and held.model_id == comm_id), None)
        if key is None:
            return
        if data.get("method") == "update":
            known = component_state(self._components[key], data["state"])
            traits = {name: data["state"][name] for name in known}
            if traits:
                self._tell({"say": "traits", "key": key, "traits": traits})
        elif data.get("method") == "custom":
            self._tell({"say": "event", "key": key, "content": data.get("content")})

    def _tell(self, told: dict[str, Any], but: Any = None) -> None:
        for page in list(self._pages):
            if page is not but:
                page.send(told)


def _message(data: dict[str, Any]) -> dict[str, Any]:
    """A message as a comm is given it."""
    return {"content": {"data": data}, "buffers": []}
