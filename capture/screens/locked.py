"""The page strangers see and the page for what went another way: one sentence each, in the same look."""

from __future__ import annotations

from flask import render_template

from capture.screens import words


def trouble_page(status: int, sentence: str, title: str = "") -> str:
    """A whole page for an answer that is not what was asked for; `sentence` is what happened."""
    usual_title, usual = words.trouble(status)
    return render_template("trouble.html", page=words.Trouble(title or usual_title, sentence or usual))
