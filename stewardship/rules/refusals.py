"""The one refusal of the whole service: a rule was broken, and here is which."""


class RuleViolation(Exception):
    """A broken rule, told to the person who met it.

    A subclass states ``code`` (lower snake case, what a client reads), ``message`` (a sentence a volunteer
    understands, with ``{name}`` for each of the facts) and, where it is always the same, ``where`` (the field or
    dotted path at fault, "" when no single field is). The facts become attributes. A message given when raising is
    taken as it stands: it may quote what somebody typed.
    """

    code: str = "rule_broken"
    message: str = "A rule of the record book is broken."
    where: str = ""

    def __init__(self, message: str | None = None, *, where: str = "", **facts: object) -> None:
        vars(self).update(facts)
        self.facts = facts
        self.message = type(self).message.format(**facts) if message is None else message
        self.where = where or type(self).where
        super().__init__(self.message)
