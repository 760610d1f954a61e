"""The numbers of judgement, for checks and all above them; a raw water is judged by one of them before any check is made."""

from trainapp.train.policy import Rule, amount, rule, rules

__all__ = ["Rule", "amount", "rule", "rules"]
