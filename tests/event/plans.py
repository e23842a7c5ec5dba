"""What every plan of work has to keep to, checked apart from what makes the plans."""

from __future__ import annotations

from collections import Counter

from loomready.event.work.problem import Plan, Work


def faults(work: Work, plan: Plan) -> list[str]:
    """Each rule that a plan breaks."""
    found = []
    at_work = Counter((person, slot) for (_c, _j, slot), people in plan.items() for person in people)
    found += [f"two places at once {key}" for key, count in at_work.items() if count > 1]
    busy = Counter(person for person, _slot in at_work)
    for number, worker in enumerate(work.workers):
        if worker.most is not None and busy[number] > worker.most:
            found.append(f"{worker.key} works {busy[number]} of {worker.most}")
    for (chain, job, slot), people in plan.items():
        skill = work.chains[chain].jobs[job].skill
        workers = [work.workers[one] for one in people]
        if not all(slot in each.slots for each in workers):
            found.append(f"nobody there {(chain, job, slot)}")
        can = [skill in each.can for each in workers]
        if skill == "beaming":
            fits = (
                len(people) == 2 and any(can) and all(skill in each.can | each.learning for each in workers)
            )
        else:
            fits = all(can) and 1 <= len(people) <= (2 if skill == "threading" else 1)
        if not fits:
            found.append(f"odd crew {(chain, job, slot)}")
    winding: Counter[int] = Counter()
    for number, chain in enumerate(work.chains):
        before = -1
        for job, each in enumerate(chain.jobs):
            slots = [slot for (c, j, slot) in plan if (c, j) == (number, job)]
            if slots and min(slots) <= before:
                found.append(f"out of order {(number, job)}")
            before = max(slots, default=before)
            if slots and each.skill == "winding":
                winding.update(range(min(slots), max(slots) + 1))
    found += [f"no board at {slot}" for slot, count in winding.items() if count > work.boards]
    return found
