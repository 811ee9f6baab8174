"""Simulated apprentices: they work a case as a person does, with a knob for skill and one for each bad habit.

Simulated apprentices test the code: that sessions of every kind end, are kept and can be graded, and that
marks follow what was done. They say nothing about whether marks are valid for people: nobody was observed for
them, every figure in here is invented, and people go wrong in other ways. They were fixed before any rubric
was tuned.

They never look at the truth of a case. What they know is the model (a person's data sheet and training), what
they did and what was shown to them; how well they use it is their skill.

    from faultiso.practice.apprentices.apprentice import Apprentice
    from faultiso.practice.apprentices.working import work

    play = work(case, model, Apprentice(skill=0.5, way="half-splitting", slips=0.1, seed=7))
    play.desk.state.end
"""
