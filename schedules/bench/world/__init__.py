"""A simulated fleet of exhaust fans, to hold rules of scheduling against.

Written without sight of the engine and of its rules, from the limits the trade publishes and from
what is common knowledge about fans, and frozen apart from its assumptions: figures here are not
changed to please a result. Plain numpy, vectorised over fans; it knows no framework and no engine.

All policies see the same shocks: luck is drawn beforehand, one stream per purpose and fan
(`luck`), and what a policy does only decides which of it matters. A week goes like this: hood
cleaning and other events (`weeks.happen`), the visits of the policy (`visiting`), a week of wear
and then its failures (`weeks.wear`, `weeks.failing`), each repaired on a call.
"""
