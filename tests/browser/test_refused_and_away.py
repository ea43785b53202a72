"""The states a screen comes into by what goes wrong: a form that is not taken, and the laptop away. No barrier there
either, and what went wrong is told to who cannot see it."""

from __future__ import annotations

from typing import Any

import pytest

from tests.browser.test_every_screen import (
    PHONE,
    SCREENS,
    SMALL,
    URL_MAP,
    Site,
    addresses,
    barriers,
    lay_out,
    paired,
    site,
    visit,
)

__all__ = ["paired", "site"]

TYPED = ("", "rubbish")
"""Left empty, and what is neither a number nor a name of anything."""
KEYS = """() => [...document.querySelectorAll('form[method=post] button:not([type=button]):not(:disabled)')]
  .map(key => [new URL(key.form.action).pathname, `${key.name}=${key.name && key.value}`])"""
SEND = """([action, said, typed]) => {
  const key = [...document.querySelectorAll('form[method=post] button:not([type=button])')].find(one =>
    new URL(one.form.action).pathname === action && `${one.name}=${one.name && one.value}` === said);
  if (!key) return false;
  key.form.noValidate = true;
  for (const one of key.form.querySelectorAll('input, textarea'))
    if (!['hidden', 'radio', 'checkbox', 'file', 'submit'].includes(one.type)) one.value = typed;
  setTimeout(() => key.form.requestSubmit(key));
  return true;
}"""
UNTOLD = """() => {
  const alerts = [...document.querySelectorAll('[role=alert]')].filter(one => one.innerText.trim());
  const told = one => one.closest('[role=alert]')
    || document.querySelector(`[aria-invalid][aria-describedby~="${one.id}"]`);
  const lost = [...document.querySelectorAll('.refused')].filter(one => one.checkVisibility() && !told(one));
  return [...lost.map(one => one.outerHTML.slice(0, 140)), ...(alerts.length ? [] : ['nothing says it aloud'])];
}"""
"""What is wrong is said aloud when the page comes, and again at the field it is about."""
REFUSED = {  # addresses whose form was met and refused for what was typed in it, or for nothing typed
    "/import", "/new", "/vehicles/<vehicle_id>/aims", "/vehicles/<vehicle_id>/cut/<link>/parts",
    "/vehicles/<vehicle_id>/facts", "/vehicles/<vehicle_id>/facts/parts", "/vehicles/<vehicle_id>/plans/rename",
    "/vehicles/<vehicle_id>/holes", "/vehicles/<vehicle_id>/paper/in", "/vehicles/<vehicle_id>/photos",
    "/vehicles/<vehicle_id>/plans", "/vehicles/<vehicle_id>/settle",
    "/vehicles/<vehicle_id>/table", "/vehicles/<vehicle_id>/withdraw",
}  # fmt: skip
TYPED_AWAY = """() => Object.fromEntries([...document.querySelectorAll('main input, main textarea, main select')]
  .filter(one => one.type !== 'hidden')
  .map(one => [one.id || one.name, one.type === 'radio' ? one.checked : one.value]))"""
ALWAYS_THERE = {  # whatever was settled, withdrawn or taken before
    "/import", "/new", "/vehicles/<vehicle_id>/facts", "/vehicles/<vehicle_id>/facts/parts",
    "/vehicles/<vehicle_id>/holes", "/vehicles/<vehicle_id>/photos", "/vehicles/<vehicle_id>/stage",
    "/vehicles/<vehicle_id>/table",
}  # fmt: skip


def rule_of_post(action: str) -> str:
    return URL_MAP.bind("here").match(action, method="POST", return_rule=True)[0].rule


def test_with_the_laptop_away_no_button_that_changes_something_leaves_its_page_or_loses_what_was_typed(
    site: Site, paired: Any
):
    page, met, lost = paired(), set(), {}
    page.route("**/*", lambda route: route.abort() if route.request.method == "POST" else route.fallback())
    for address in ["/", "/new", "/let-in", *(one for screen in site.follow("doubt").values() for one in screen)]:
        if "/measure" in address:
            continue
        visit(page, site, address)
        for action, key in page.evaluate(KEYS):
            if (rule := rule_of_post(action), key) in met:
                continue
            met.add((rule, key))
            page.goto(site.server.base + address)
            page.wait_for_selector("[data-onphone][data-ready]", state="attached")
            page.context.set_offline(True)
            print("FORM", rule, key, address)
            page.evaluate(SEND, [action, key, "Made away"])
            page.wait_for_timeout(50)
            typed, here = page.evaluate(TYPED_AWAY), page.url
            page.locator("[data-said=kept], [data-said=refused], [data-unread], .takephoto .strip:not([hidden])"
                         ).first.wait_for(state="attached")
            if page.url != here or page.evaluate(TYPED_AWAY) != typed or not page.locator("main").count():
                lost[f"{rule} {key}"] = page.url
            page.context.set_offline(False)
    assert lost == {} and {rule for rule, _ in met} >= ALWAYS_THERE


def test_no_form_that_is_refused_holds_a_barrier_and_each_tells_why(site: Site, paired: Any):
    page, found, refused, sent = paired(), {}, set(), set()
    page.route("**/forms.js*", lambda route: route.abort())  # plain forms, as without a script
    every = ["/", "/new", *(one for screen in site.follow("doubt").values() for one in screen)]
    for address in sorted(every, key=lambda address: "/close" in address):  # it shuts what others would be sent to
        if "/measure" in address:
            continue
        visit(page, site, address)
        for action, key in page.evaluate(KEYS):
            rule = rule_of_post(action)
            if (rule, key) in sent or rule == "/pairing/renew":
                continue
            sent.add((rule, key))
            for typed in TYPED:
                page.set_viewport_size(PHONE)
                page.goto(site.server.base + address)
                with page.expect_navigation(wait_until="load") as going:
                    if not page.evaluate(SEND, [action, key, typed]):  # the one before was taken
                        page.reload()
                if going.value.status == 422:
                    refused.add(rule)
                    lay_out(page)
                    if faults := barriers(page, ("light",)) + page.evaluate(SMALL) + page.evaluate(UNTOLD):
                        found[f"{action} {key} {typed}"] = faults
    assert not found, "\n".join(f"{form}: {faults}" for form, faults in found.items())
    assert refused >= REFUSED


@pytest.mark.parametrize("screen", SCREENS)
def test_with_the_laptop_away_no_screen_holds_a_barrier_nor_does_what_it_then_says(
    site: Site, paired: Any, screen: str
):
    page, found = paired(), {}
    for _, address in addresses(site, screen, "doubt")[:1]:
        visit(page, site, address)
        page.context.set_offline(True)
        for form in page.locator("form[data-outbox]:has([data-empty]:visible)").all()[:1]:
            form.locator("[data-empty]:visible").first.fill("Made away")
            form.locator("button[type=submit]:visible").first.click()
            page.locator("[data-said=kept], [data-said=refused]").wait_for()  # a plan that moves nothing is refused
        found[address] = barriers(page) + page.evaluate(SMALL)
        page.context.set_offline(False)
    assert {address: faults for address, faults in found.items() if faults} == {}


def test_the_walk_with_a_reading_that_waits_holds_no_barrier_and_says_so_to_who_cannot_see_it(site: Site, paired: Any):
    page = paired()
    visit(page, site, f"/vehicles/{site.vehicles['empty']}/measure?at=height:mark.front_left")
    page.context.set_offline(True)
    page.keyboard.type("600")
    page.keyboard.press("Enter")
    waits = page.locator(".tb.away", has_text="1 waiting")
    waits.wait_for(timeout=20_000)
    assert barriers(page) == [] and page.evaluate(SMALL) == []
    assert waits.evaluate("one => !!one.closest('[aria-live], [role=status]') || !!one.querySelector('[role=status]')")
    page.context.set_offline(False)
    waits.wait_for(state="detached", timeout=20_000)
