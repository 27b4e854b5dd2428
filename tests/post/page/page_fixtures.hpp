#pragma once
// Files of a results directory, made without solving.

#include "post/page/page_results.hpp"
#include "post/reports/summary.hpp"
#include "post/reports/why.hpp"
#include "tests/post/network_outcome.hpp"
#include "tests/post/reports/why_fixtures.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace tiltfin::tests {

/// A drawing with a name in it, as small as one can be.
inline std::string small_drawing() {
  return R"x(<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20">)x"
         R"x(<clipPath id="cut"/><rect fill="#b5403a" clip-path="url(#cut)"/></svg>)x";
}

/// Upright with plenty of air and flat with a tenth of it, at 10 and 40 W.
inline std::vector<Outcome> page_outcomes() {
  HeatNetwork flat = usual_network();
  flat.carrying_w_per_k = 0.25;
  return pair_of(usual_network(), flat, {10.0, 40.0});
}

inline PageFiles page_files(const std::vector<Outcome>& outcomes, const std::string& title) {
  ReportContext context = why_context();
  context.title = title;
  context.notes = {"A note of the case."};
  const std::vector<TrendRow> trends = make_trends(outcomes, context);
  return {{"summary.json", summary_json(outcomes, trends, context)},
          {"why.json", why_json(explain(outcomes, trends, context))},
          {"pictures/on_upright_40w.svg", small_drawing()},
          {"case.toml", "title = \"x\" # <kept>\n\n[limit]\n"}};
}

inline std::size_t count_of(const std::string& text, const std::string& part) {
  std::size_t n = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) {
    ++n;
  }
  return n;
}

} // namespace tiltfin::tests
