#include "post/page/page_results.hpp"

#include "post/fits/groups.hpp"
#include "post/reports/summary.hpp"
#include "post/reports/table_parts.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

/// Reads a file of the directory; its name goes before what is wrong with it.
template <class Read>
void read_part(const PageFiles& files, const std::string& path, const Read& read) {
  const std::string& text = text_of(files, path);
  if (text.empty()) {
    return;
  }
  try {
    read(text);
  } catch (const std::runtime_error& error) {
    throw std::runtime_error(path + ": " + error.what());
  }
}

/// Of whatever file has a title; "" where none has.
std::string any_title(const PageFiles& files) {
  for (const char* path : {"levers.json", "compare.json", "spacing.json", "ends.json"}) {
    std::string title;
    read_part(files, path, [&](const std::string& text) {
      const Json object = parse_json(text);
      const Json* found = object.find("title");
      title = found == nullptr ? "" : found->text();
    });
    if (!title.empty()) {
      return title;
    }
  }
  return "";
}

} // namespace

const std::string& text_of(const PageFiles& files, std::string_view path) {
  static const std::string nothing;
  const auto found = files.find(path);
  return found == files.end() ? nothing : found->second;
}

PageResults read_page_results(PageFiles files) {
  PageResults results;
  results.files = std::move(files);
  read_part(results.files, "summary.json", [&](const std::string& text) {
    SolvedResults solved = read_solved(text);
    results.outcomes = std::move(solved.outcomes);
    results.context = std::move(solved.context);
    results.trends = make_trends(results.outcomes, results.context);
  });
  read_part(results.files, "why.json",
            [&](const std::string& text) { results.whys = read_why(text); });
  read_part(results.files, "levers.json",
            [&](const std::string& text) { results.levers = parse_json(text); });
  read_part(results.files, "ends.json",
            [&](const std::string& text) { results.ends = parse_json(text); });
  read_part(results.files, "rank.json", [&](const std::string& text) {
    const Json object = parse_json(text);
    const Json* found = object.find("recommendation"); // earlier files do not have it
    results.recommendation = found == nullptr ? "" : found->text();
  });
  results.title = results.context.title.empty() ? any_title(results.files) : results.context.title;
  if (results.title.empty()) { // a ranking has none, cases may leave it out
    results.title = "Results";
  }
  return results;
}

std::string place_name(const PageResults& results, const std::string& panel,
                       const std::string& orientation) {
  const bool is_one = std::ranges::all_of(
      results.outcomes, [&](const Outcome& outcome) { return outcome.panel == panel; });
  return is_one && !results.outcomes.empty() ? orientation : orientation + ", panel " + panel;
}

std::vector<const TrendRow*> limited_trends(const PageResults& results) {
  std::vector<const TrendRow*> rows;
  for (const TrendRow& row : results.trends) {
    if (std::isfinite(row.limit.power_w.value)) {
      rows.push_back(&row);
    }
  }
  return rows;
}

bool is_doubtful(const Outcome& outcome) {
  return outcome.status != SolveStatus::converged ||
         outcome.stability.state == Stability::unstable || outcome.standing != Standing::sound;
}

std::vector<double> powers_of(const PageResults& results) {
  std::vector<double> powers;
  for (const Outcome& outcome : results.outcomes) {
    powers.push_back(outcome.power_w);
  }
  std::ranges::sort(powers);
  powers.erase(std::unique(powers.begin(), powers.end()), powers.end());
  return powers;
}

double common_power_w(const PageResults& results) {
  double best = nan;
  std::ptrdiff_t most = 0;
  for (const double power : powers_of(results)) {
    const auto n = std::ranges::count_if(results.outcomes, [&](const Outcome& outcome) {
      return outcome.power_w == power && is_solved(outcome.status);
    });
    if (n >= most && n > 0) {
      most = n;
      best = power;
    }
  }
  return best;
}

std::string with_unit(const Estimate& estimate, const std::string& unit) {
  return with_error(estimate) + " " + unit;
}

} // namespace tiltfin
