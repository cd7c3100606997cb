"""What is found in verifying: violations, and the worst value met of everything that has a bound."""

import collections


class Log:
    def __init__(self, name):
        self.name = name
        self.violations = []
        self.worst = collections.defaultdict(float)

    def fail(self, where, what):
        self.violations.append(f"{self.name}: {where}: {what}")

    def met(self, what, value):
        self.worst[what] = max(self.worst[what], abs(value))

    def bound(self, where, what, value, most):
        self.met(what, value)
        if not abs(value) <= most:
            self.fail(where, f"{what} {value:.4f} (at most {most})")
