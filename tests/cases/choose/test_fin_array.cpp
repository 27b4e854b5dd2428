#include "cases/choose/fin_array.hpp"
#include "cases/choose/spacing_search.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/catch.hpp"

#include <cmath>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

constexpr double tight = 1e-9; // m: lengths are written to the nanometre

const std::string along_text =
    edited(edited(block_text, "[block]", "[block]\nfins_run = \"along\""), "depth_mm = 80",
           "fin_gap_mm = 5");

/// From the first to the last fin along y, or to the outer face of the last plate from the base's.
double extent_of_solids(const Case& the_case, bool is_stack) {
  const Section& section = the_case.panels[0].sections.front();
  double low = is_stack ? section.solids[static_cast<std::size_t>(section.base)].extent.x1 : 1e9;
  double high = 0.0;
  for (const Solid& solid : section.solids) {
    if (solid.role == Role::fin) {
      low = is_stack ? low : std::min(low, solid.extent.y0);
      high = std::max(high, is_stack ? solid.extent.x1 : solid.extent.y1);
    }
  }
  return high - low;
}

int n_fins(const Case& the_case) {
  int n = 0;
  for (const Solid& solid : the_case.panels[0].sections.front().solids) {
    n += solid.role == Role::fin ? 1 : 0;
  }
  return n;
}

} // namespace

TEST_CASE("Fin array: it is read from blocks and stacks as they are drawn", "[fin_array]") {
  const FinArray across = fin_array(case_of(block_text));
  CHECK(across.kind == FinKind::across);
  CHECK(across.count == 4);
  CHECK_THAT(across.outer, WithinAbs(0.030, tight));
  CHECK_THAT(across.gap, WithinAbs(0.006, tight)); // (30 - 4 x 3) / 3
  CHECK(across.length == 0.0);
  const FinArray along = fin_array(case_of(along_text));
  CHECK(along.kind == FinKind::along);
  CHECK_THAT(along.outer, WithinAbs(0.027, tight)); // 4 x 3 + 3 x 5
  CHECK_THAT(along.length, WithinAbs(0.030, tight));
  const FinArray plates = fin_array(case_of(stack_text));
  CHECK(plates.kind == FinKind::plates);
  CHECK(plates.first_gap == 0.0);
  CHECK_THAT(plates.outer, WithinAbs(0.018, tight)); // 3 x (1 + 5)
  const FinArray stands_off =
      fin_array(case_of(edited(stack_text, "depth_mm", "first_gap_mm = 8\ndepth_mm")));
  CHECK_THAT(stands_off.first_gap, WithinAbs(0.008, tight));
  CHECK_THAT(stands_off.outer, WithinAbs(0.021, tight));
}

TEST_CASE("Fin array: another number of fins leaves the outer size and everything else",
          "[fin_array]") {
  for (const std::string& text :
       {block_text, stack_text, edited(stack_text, "depth_mm", "first_gap_mm = 8\ndepth_mm")}) {
    const Case original = case_of(text);
    const FinArray array = fin_array(original);
    const bool is_stack = array.kind == FinKind::plates;
    CHECK_THAT(extent_of_solids(original, is_stack), WithinAbs(array.outer, tight));
    for (const int count : {2, 3, 5}) {
      CAPTURE(count, is_stack);
      const Case other = with_fins(original, with_count(array, count));
      CHECK(n_fins(other) == count);
      CHECK_THAT(extent_of_solids(other, is_stack), WithinAbs(array.outer, tight));
      CHECK(other.panels[0].sections.front().width == original.panels[0].sections.front().width);
      CHECK(other.powers == original.powers);
      const FinArray again = fin_array(other);
      CHECK(again.count == count);
      CHECK_THAT(again.outer, WithinAbs(array.outer, tight));
      CHECK_THAT(again.first_gap, WithinAbs(array.first_gap, tight));
    }
    // Unchanged, nothing changes.
    const Case same = with_fins(original, array);
    REQUIRE(same.panels[0].sections.front().solids.size() ==
            original.panels[0].sections.front().solids.size());
    for (std::size_t k = 0; k < same.panels[0].sections.front().solids.size(); ++k) {
      CHECK_THAT(same.panels[0].sections.front().solids[k].extent.x1,
                 WithinAbs(original.panels[0].sections.front().solids[k].extent.x1, tight));
      CHECK_THAT(same.panels[0].sections.front().solids[k].extent.y1,
                 WithinAbs(original.panels[0].sections.front().solids[k].extent.y1, tight));
    }
  }
}

TEST_CASE("Fin array: a medium keeps its depth", "[fin_array]") {
  const Case original = case_of(along_text);
  const FinArray array = fin_array(original);
  const Case other = with_fins(original, with_count(array, 7));
  const Section& section = other.panels[0].sections.front();
  CHECK_THAT(section.depth, WithinAbs(original.panels[0].sections.front().depth, tight));
  CHECK_THAT(section.media[0].gap, WithinAbs((0.027 - 7 * 0.003) / 6, tight));
}

TEST_CASE("Fin array: thickness and height can change with it", "[fin_array]") {
  const Case original = case_of(block_text);
  FinArray array = fin_array(original);
  array.thickness = 0.002;
  array.height = 0.010;
  const Case other = with_fins(original, with_count(array, 6));
  const Solid& fin = other.panels[0].sections.front().solids.back();
  CHECK_THAT(fin.extent.height(), WithinAbs(0.002, tight));
  CHECK_THAT(fin.extent.width(), WithinAbs(0.010, tight));
  array.height = 0.090; // the case is 60 mm wide
  CHECK_THROWS_WITH(with_fins(original, array),
                    ContainsSubstring("t.toml:9") && ContainsSubstring("inside the case"));
}

TEST_CASE("Fin array: only whole fins within the limits of the gap", "[fin_array]") {
  const FinArray block = fin_array(case_of(block_text)); // 30 mm, fins of 3 mm
  const CountRange range = counts_for_gaps(block, 0.002, 0.010);
  CHECK(range.fewest == 4);                             // 3 fins leave (30 - 9) / 2 = 10.5 mm
  CHECK(range.most == 6);                               // 7 would leave (30 - 21) / 6 = 1.5 mm
  CHECK(counts_for_gaps(block, 0.0015, 1.0).most == 7); // 1.5 mm exactly
  CHECK(counts_for_gaps(block, 0.002, 1.0).fewest == 2);
  const CountRange none = counts_for_gaps(block, 0.0065, 0.010); // between 6 and 10.5 mm: nothing
  CHECK(none.fewest > none.most);
  const FinArray stack = fin_array(case_of(stack_text)); // 18 mm, plates of 1 mm
  CHECK(counts_for_gaps(stack, 0.002, 1.0).most == 6);   // 6 x (1 + 2)
  CHECK(counts_for_gaps(stack, 0.002, 1.0).fewest == 1);
}

TEST_CASE("Fin array: rings and drawn sections are refused with the reason", "[fin_array]") {
  CHECK_THROWS_WITH(fin_array(case_of(drawn_text)),
                    ContainsSubstring("t.toml:3") && ContainsSubstring("drawn solid by solid"));
  CHECK_THROWS_WITH(fin_array(read_case("cases/ring.toml")),
                    ContainsSubstring("grows from its axis") &&
                        ContainsSubstring("[block] or [stack]"));
}

TEST_CASE("Fin array: a power is added once", "[fin_array]") {
  const Case original = case_of(stack_text); // 10 and 30 W
  CHECK(with_power(original, 30.0).text == original.text);
  CHECK(with_power(original, 12.5).powers == std::vector<double>{10.0, 12.5, 30.0});
}

TEST_CASE("Spacing search: the first numbers hold both ends", "[spacing_search]") {
  CHECK(first_counts(2, 32, 5) == std::vector<int>{2, 4, 8, 16, 32});
  CHECK(first_counts(2, 4, 5) == std::vector<int>{2, 3, 4});
  CHECK(first_counts(7, 7, 5) == std::vector<int>{7});
}

TEST_CASE("Spacing search: it brackets the lowest of a valley and never asks twice",
          "[spacing_search]") {
  for (int valley = 2; valley <= 60; ++valley) {
    const auto value = [valley](int n) {
      return std::abs(std::log(static_cast<double>(n) / valley));
    };
    Known known;
    for (const int n : first_counts(2, 60, 5)) {
      known[n] = value(n);
    }
    int asked = 0;
    while (const std::optional<int> next = next_count(known)) {
      REQUIRE(known.count(*next) == 0);
      known[*next] = value(*next);
      ++asked;
    }
    CAPTURE(valley, asked);
    CHECK(lowest(known) == valley);
    CHECK(asked <= 10); // two intervals of at most 33 numbers, halved: 2 log2(33)
  }
}

TEST_CASE("Spacing search: points without a value are passed over", "[spacing_search]") {
  const double nan = std::nan("");
  CHECK_FALSE(lowest({{2, nan}, {4, nan}}).has_value());
  CHECK_FALSE(next_count({{2, nan}}).has_value());
  CHECK(lowest({{2, 3.0}, {3, nan}, {4, 3.0}}) == 2);
  CHECK(next_count({{2, 3.0}, {3, nan}, {8, 4.0}}) == std::nullopt);
}
