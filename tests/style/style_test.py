#!/usr/bin/env python3
"""The checks of this folder find what they are there to find."""
import pathlib
import tempfile
import unittest

import layers
import sizes


class Layers(unittest.TestCase):
    def faults(self, path, text):
        return list(layers.faults_of(path, text))

    def test_an_include_that_points_up_is_found(self):
        self.assertEqual(len(self.faults("solver/plan/x.cpp", '#include "solver/setup/kit.hpp"\n')), 1)
        self.assertEqual(len(self.faults("tools/job/x.cpp", '#include "tools/report/report.hpp"\n')), 1)

    def test_an_include_that_points_down_or_aside_is_not(self):
        self.assertEqual(self.faults("solver/setup/x.cpp", '#include "solver/plan/plan.hpp"\n'), [])
        self.assertEqual(self.faults("tools/app/x.cpp", '#include "scan/model/log_model.hpp"\n'), [])

    def test_scan_and_solver_do_not_see_each_other(self):
        self.assertEqual(len(self.faults("solver/search/x.cpp", '#include "scan/find/isolate.hpp"\n')), 1)
        self.assertEqual(len(self.faults("scan/fit/x.cpp", '#include "solver/plan/plan.hpp"\n')), 1)

    def test_a_library_outside_its_room_is_found(self):
        self.assertEqual(len(self.faults("tools/job/x.cpp", "#include <CLI/CLI.hpp>\n")), 1)
        self.assertEqual(self.faults("tools/app/x.cpp", "#include <CLI/CLI.hpp>\n"), [])

    def test_a_path_that_is_not_of_this_tree_is_found(self):
        self.assertEqual(len(self.faults("tools/app/x.cpp", '#include "report/words.hpp"\n')), 1)

    def test_no_room_may_include_itself_through_others(self):
        for room, below in layers.ROOMS.items():
            for one in below:
                self.assertNotIn(room, layers.reachable(one))


class Sizes(unittest.TestCase):
    def test_a_long_source_is_found(self):
        with tempfile.TemporaryDirectory() as folder:
            source = pathlib.Path(folder) / "scan" / "x.cpp"
            source.parent.mkdir()
            source.write_text("\n" * sizes.MOST_LINES)
            self.assertEqual(sizes.main(folder), 0)
            source.write_text("\n" * (sizes.MOST_LINES + 1))
            self.assertEqual(sizes.main(folder), 1)


if __name__ == "__main__":
    unittest.main()
