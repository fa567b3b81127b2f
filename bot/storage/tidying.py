"""What nobody needs any more: deleted now and then, so that the file does not grow for ever."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import and_, delete, func, select, update

from bot.storage.engine import Store
from bot.storage.models import debt, forecast, handle, post, rule, seen_interaction

_INTERACTIONS = timedelta(days=7)  # the platform never repeats one after minutes
_SAID = timedelta(days=90)
_JUDGED = timedelta(days=400)
_OVER = ("sent", "done", "folded", "stopped", "withdrawn")


async def tidy(store: Store, now: datetime) -> None:
    """Interactions, buttons, messages and judged forecasts of long ago.

    Debts of facts stay: their key says for ever that this was told. Of a rule's occurrences the
    newest stays, so that no date is said twice.
    """
    old = now - _SAID
    newest = select(func.max(debt.c.id)).group_by(debt.c.rule_id)
    of_rules = select(rule.c.id).where(rule.c.kind != "fact")
    async with store.write() as connection:
        await connection.execute(
            delete(seen_interaction).where(seen_interaction.c.at < now - _INTERACTIONS)
        )
        await connection.execute(delete(handle).where(handle.c.expires_at < now))
        await connection.execute(
            delete(debt).where(
                and_(
                    debt.c.due < old,
                    debt.c.state.in_(_OVER),
                    debt.c.rule_id.in_(of_rules),
                    debt.c.id.notin_(newest),
                )
            )
        )
        gone = (forecast.c.outcome == "void") & (forecast.c.made_at < old)
        year = (forecast.c.outcome != "open") & (forecast.c.made_at < now - _JUDGED)
        await connection.execute(delete(forecast).where(gone | year))
        over = select(post.c.id).where(post.c.state != "open", post.c.made_at < old)
        await connection.execute(update(debt).where(debt.c.post_id.in_(over)).values(post_id=None))
        await connection.execute(delete(post).where(post.c.state != "open", post.c.made_at < old))
