"""One wing of a live page in full, as `assess` gives a requested one: for its build sheet."""

from __future__ import annotations

from dataclasses import replace

from tradestudy.aircraft.model.choices import choice_from_edge, variables_from_edge
from tradestudy.aircraft.workshop.shopping import shopping_list
from tradestudy.commands.assess import as_drawn, effects_key, shop_alone
from tradestudy.commands.recommended_wing import kept_wing
from tradestudy.commands.study_session import StudySession
from tradestudy.results.look.look import WingLook
from tradestudy.results.result import Result


def shown_wing(session: StudySession, look: WingLook) -> Result:
    """Return the wing of a look in full (``best``) with its shopping list, and the stock wing.

    It has the values to expect where the record holds the draws of the recommended wing, as on the page. There is no
    search.
    """
    wing = session.wing_design(choice_from_edge(look.choices), variables_from_edge(look.variables))
    bought = shopping_list(session.study, session.anchor, wing, session.space.slowest_speed)
    words = "The stretched wing is the one on the page."
    result = replace(session.stock_result(), best=wing, shopping=bought, which_wing=words)
    kept = kept_wing(session)
    if kept and session.record.known(effects_key(kept.result.choice, kept.result.variables)) is not None:
        return as_drawn(session, result, kept.result, is_recommended=False)
    return replace(result, as_built=shop_alone(session, wing))
