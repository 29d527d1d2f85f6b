"""A browser without JavaScript that counts what a person answers: fields filled in or chosen, not those left."""

from html.parser import HTMLParser
from typing import Any
from urllib.parse import urljoin, urlsplit

from django.test import Client


class _Form(HTMLParser):
    """The form with one of these fields, as a browser would send it if nobody touched it."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[dict[str, Any]] = []
        self._select: str = ""
        self._text: str = ""

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        told = dict(attrs)
        if tag == "form":
            self.forms.append({"action": told.get("action", ""), "method": told.get("method", "get"), "fields": {}})
        if not self.forms:
            return
        fields = self.forms[-1]["fields"]
        if tag == "input" and told.get("type") not in ("checkbox", "radio", "submit") and "name" in told:
            fields[told["name"]] = told.get("value", "")
        elif tag == "input" and told.get("type") in ("checkbox", "radio") and "checked" in told:
            fields[told["name"]] = told.get("value", "on")
        elif tag == "select":
            self._select = told["name"]
        elif tag == "option" and self._select and (self._select not in fields or "selected" in told):
            fields[self._select] = told.get("value", "")
        elif tag == "textarea":
            self._text = told["name"]
            fields[self._text] = ""

    def handle_data(self, data: str) -> None:
        if self._text:
            self.forms[-1]["fields"][self._text] += data.removeprefix("\n")

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""
        if tag == "textarea":
            self._text = ""


class Person:
    """Somebody at a browser; ``answers``: each field that they filled in or chose, ``pages``: those they saw."""

    def __init__(self, client: Client, start: str) -> None:
        self.client, self.answers, self.pages, self.at = client, [], [], ""
        self.opens(start)

    def opens(self, address: str) -> None:
        """Open an address and go where it leads."""
        self._sees(self.client.get(address, follow=True), address)

    def fills(self, holding: str, **typed: Any) -> None:
        """Fill in the form that has the field ``holding`` and send it; what is not named is left as it is."""
        form = next(each for each in self._forms() if holding in each["fields"])
        typed = {name.replace("__", "-"): str(value) for name, value in typed.items()}
        assert typed.keys() <= form["fields"].keys(), typed.keys() - form["fields"].keys()
        self.answers += [name for name, value in typed.items() if form["fields"][name] != value]
        to = urljoin(self.at, form["action"])
        send = self.client.post if form["method"] == "post" else self.client.get
        self._sees(send(to, form["fields"] | typed, follow=True), to)

    def skips(self) -> None:
        """Press the button that passes the step over."""
        form = next(each for each in self._forms() if each["action"].endswith("/skip/"))
        self._sees(self.client.post(form["action"], form["fields"], follow=True), form["action"])

    def chooses(self, field: str, words: str) -> str:
        """Return the value of the choice that bears these words."""
        choices = self.page.context["form"].fields[field].choices
        return next(value for value, told in choices if words in told)

    def _forms(self) -> list[dict[str, Any]]:
        reader = _Form()
        reader.feed(self.page.content.decode())
        return reader.forms

    def _sees(self, page: Any, address: str) -> None:
        assert page.status_code == 200, page.content.decode()
        self.page = page
        self.at = page.redirect_chain[-1][0] if page.redirect_chain else address
        self.pages.append(urlsplit(self.at).path)
