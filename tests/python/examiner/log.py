"""What is found in verifying: violations, each with the kind of it, and the worst value met of everything that has a bound."""

import collections


class Log:
    def __init__(self, name):
        self.name, self.violations, self.worst = name, [], collections.defaultdict(float)

    def fail(self, kind, where, text):
        self.violations.append((kind, f"{self.name}: {where}: {kind}: {text}"))

    def bound(self, kind, where, value, most, text=""):
        """A value that must not be larger than `most`."""
        self.worst[kind] = max(self.worst[kind], abs(value))
        if not abs(value) <= most:
            self.fail(kind, where, f"{value:.4f}, at most {most:.4f} {text}".rstrip())

    def kinds(self):
        return collections.Counter(kind for kind, _ in self.violations)
