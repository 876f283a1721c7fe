"""A second, naive engine, and what it says against the planner.

Two programs that make the same figures from the same files in different ways seldom make the same mistake.
This one shares nothing of `planner` but the reading of the files (`planner.records`, the rule and grade
tables); the physics is written again, from the definitions of the handbooks, without any of the planner's
closed forms:

* mass and moment are sums of mass x arm (FAA-H-8083-1B ch. 2; FAA-H-8083-25, loading computations);
* fuel leaves the tanks in steps of 0.05 L (`burn.stepped`), a tank that is empty gives no more;
* limits are interpolated between the profile's points, in CG or in moment;
* density follows API MPMS 11.1 / ASTM D1250, Tables 53B and 54B (generalised products), written again in
  `petroleum`;
* an uncertainty is what random draws of the figures as written in the files give (JCGM 101): each draw is a
  whole flight.

`engine` is the engine, `generate` writes flights that mix every feature, `compare` sets both side by side,
and `python -m tests.oracle --count N --seed S` runs many. Nothing in here is invented to agree: where the two
differ, one is wrong.
"""
