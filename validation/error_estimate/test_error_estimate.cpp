#include "post/numbers/outcome.hpp"

#include "validation/error_estimate/study.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

const std::string readme = "validation/error_estimate/README.md";
const std::string truths = "validation/error_estimate/reference.csv";

/// The true value of a quantity and what it is uncertain by.
struct Truth {
  double value = 0.0;
  double uncertainty = 0.0;
};

std::string key(const Setup& setup, const std::string& mesh, const std::string& quantity) {
  return setup.name + "," + mesh + "," + quantity;
}

/// Rows of reference.csv (case, mesh, quantity, value, uncertainty) by their first three fields.
std::map<std::string, Truth> read_truths() {
  std::ifstream file(truths);
  REQUIRE(file.is_open());
  std::string line;
  std::getline(file, line);
  REQUIRE(line == "case,mesh,quantity,value,uncertainty");
  std::map<std::string, Truth> all;
  while (std::getline(file, line)) {
    const std::size_t last = line.rfind(',');
    const std::size_t before = line.rfind(',', last - 1);
    all[line.substr(0, before)] = {std::stod(line.substr(before + 1)),
                                   std::stod(line.substr(last + 1))};
  }
  return all;
}

/// A reported number and its error bar (NaN: none), and what other bars could be made of.
struct Reported {
  std::string quantity;
  double value = 0.0;
  double bar = 0.0;
  double difference = tiltfin::nan; ///< of the two meshes, >= 0
  double sampling = 0.0;            ///< part of the bar
  double apart = 0.0;               ///< see temperatures_apart
  MeshPair pair{};
};

const std::string mean_rise = "mean rise";

/// What is reported of a solution: of a mean its rise alone, for the sampling error is that of the
/// rise.
std::vector<Reported> reported(const Setup& setup, const Solution& solution) {
  std::vector<Reported> all;
  if (solution.report.status == SolveStatus::time_average) {
    const Task task = task_of(setup, 1.0);
    OutcomeContext context;
    context.power_w = setup.power;
    context.room_temperature = task.air.room_temperature;
    const Estimate rise = make_outcome(task.section, solution, context).base_rise_mean_k;
    all.push_back({mean_rise, rise.value, rise.error});
    if (solution.coarse_state) {
      const Computed ours = measured(solution, setup.measure).at("rise");
      all.back() = {mean_rise,
                    rise.value,
                    rise.error,
                    std::abs(ours.value - ours.coarse),
                    solution.report.sampling,
                    temperatures_apart(solution),
                    ours.pair};
    }
  } else if (solution.coarse_state) {
    const double apart = temperatures_apart(solution);
    for (const auto& [quantity, ours] : measured(solution, setup.measure)) {
      const double difference = std::abs(ours.value - ours.coarse);
      all.push_back({quantity, ours.value, ours.error_bar(), difference, 0.0, apart, ours.pair});
    }
  } else {
    for (const auto& [quantity, value] : setup.measure(solution.problem, solution.state)) {
      all.push_back({quantity, value, Estimate{}.error});
    }
  }
  return all;
}

/// What a mesh and its partner of half the cells each way come to with second order, each number
/// uncertain by so much.
Truth extrapolated(const Reported& fine, const Reported& coarse) {
  const double step = (fine.value - coarse.value) / 3.0;
  return {fine.value + step, std::abs(step) + (4.0 * fine.bar + coarse.bar) / 3.0};
}

/// The true values of what is reported of `tested`; NaN where the finer mesh has no such flow.
std::map<std::string, Truth> truths_of(const Setup& setup, const Solution& tested) {
  std::map<std::string, Truth> all;
  if (tested.report.status == SolveStatus::time_average) {
    const auto sampled = [&](int level) {
      const Solution mean = march_truth(setup, tested, level);
      return Reported{mean_rise, setup.measure(mean.problem, mean.state).at("rise"),
                      mean.report.sampling};
    };
    all[mean_rise] = extrapolated(sampled(0), sampled(1));
    return all;
  }
  const Solution finer = solve_truth(setup, tested);
  if (finer.report.status != SolveStatus::converged || !finer.coarse_state) {
    for (const Reported& ours : reported(setup, tested)) {
      all[ours.quantity] = {Estimate{}.error, Estimate{}.error};
    }
    return all;
  }
  for (const auto& [quantity, ours] : measured(finer, setup.measure)) {
    all[quantity] = extrapolated({quantity, ours.value, 0.0}, {quantity, ours.coarse, 0.0});
  }
  return all;
}

/// What the README says is counted.
struct Count {
  int judged = 0;
  int covered = 0;
  int wide = 0;
  std::vector<double> ratios; ///< estimate / error

  void add(const Truth& truth, double value, double bar) {
    const double error = std::abs(value - truth.value);
    if (!std::isfinite(bar) || !std::isfinite(error) ||
        std::max(error, bar) < 3.0 * truth.uncertainty) {
      return;
    }
    ++judged;
    covered += error <= bar ? 1 : 0;
    wide += bar > 5.0 * error ? 1 : 0;
    ratios.push_back(bar / error);
  }

  /// A row at the end of the table.
  [[nodiscard]] std::vector<std::string> row(const std::string& name) const {
    std::vector<double> sorted = ratios;
    std::sort(sorted.begin(), sorted.end());
    const double median = sorted[sorted.size() / 2];
    const auto verdict = [](bool holds) { return std::string(holds ? "" : " (miss)"); };
    return {name,
            std::to_string(judged) + " pairs judged",
            "",
            "",
            std::to_string(covered) + " covered" + verdict(20 * covered >= 19 * judged),
            print("median %.2f", median) + verdict(median <= 5.0),
            std::to_string(wide) + " wide" + verdict(4 * wide <= judged)};
  }
};

/// A rule for bars that is counted with the same pairs; the first is the one in use.
struct Rule {
  std::string name;
  std::function<double(const Reported&)> bar;
};

/// A factor on the difference: safety / (ratio^order - 1), with the order of upwinding where that
/// is lower.
double richardson(const Reported& ours, double safety, double order) {
  const double its_order = ours.pair.order < assumed_order ? std::min(order, upwind_order) : order;
  return safety * ours.difference / (std::pow(ours.pair.ratio, its_order) - 1.0) + ours.sampling;
}

/// Richardson's bar of the orders in use, but not below a share of how far the temperatures are
/// apart.
double at_least_apart(const Reported& ours, double share) {
  const double least = share * ours.apart * std::abs(ours.value);
  const double bar = richardson(ours, error_safety, assumed_order) - ours.sampling;
  return std::max(bar, least) + ours.sampling;
}

std::vector<Rule> rules() {
  return {
      {"all", [](const Reported& ours) { return ours.bar; }},
      {"all with 1.25 / (r^1.5 - 1)", [](const Reported& o) { return richardson(o, 1.25, 1.5); }},
      {"all with 1.25 / (r^2 - 1)", [](const Reported& o) { return richardson(o, 1.25, 2.0); }},
      {"all with 3 / (r^2 - 1)", [](const Reported& o) { return richardson(o, 3.0, 2.0); }},
      {"all with 1.25 / (r - 1)", [](const Reported& o) { return richardson(o, 1.25, 1.0); }},
      {"all with 3 / (r - 1)", [](const Reported& o) { return richardson(o, 3.0, 1.0); }},
      {"all not below 0.40 apart", [](const Reported& o) { return at_least_apart(o, 0.40); }},
      {"all not below 0.50 apart", [](const Reported& o) { return at_least_apart(o, 0.50); }}};
}

std::vector<std::string> row_of(const Setup& setup, const std::string& mesh, const Reported& ours,
                                const Truth& truth) {
  const double percent = 100.0 / std::abs(ours.value);
  const double error = ours.value - truth.value;
  const bool has_bar = std::isfinite(ours.bar);
  const bool has_truth = std::isfinite(truth.value);
  return {setup.name,
          mesh,
          ours.quantity,
          print("%.5g", ours.value),
          has_bar ? print("%.3f %%", percent * ours.bar) : "-",
          has_truth ? print("%+.3f %%", percent * error) : "-",
          has_bar && has_truth ? print("%.2f", ours.bar / std::abs(error)) : "-"};
}

/// Fails when a row of the README is not what was computed, apart from its last digits.
void check_study_row(const std::vector<std::string>& fresh, const std::vector<std::string>& shown) {
  CAPTURE(fresh, shown);
  REQUIRE(shown.size() == fresh.size());
  if (fresh[0].starts_with("all")) {
    CHECK(fresh == shown);
    return;
  }
  for (const std::size_t same : {0, 1, 2}) {
    CHECK(fresh[same] == shown[same]);
  }
  CHECK_THAT(std::stod(fresh[3]), Catch::Matchers::WithinRel(std::stod(shown[3]), 2e-4));
  for (const std::size_t percent : {4, 5}) {
    CHECK((fresh[percent] == "-") == (shown[percent] == "-"));
    if (fresh[percent] == "-" || shown[percent] == "-") {
      continue;
    }
    const double value = std::stod(shown[percent]);
    CHECK_THAT(std::stod(fresh[percent]),
               Catch::Matchers::WithinAbs(value, 0.01 + 0.05 * std::abs(value)));
  }
}

} // namespace

TEST_CASE("Error estimate: it covers the error as often as the table says", "[validation]") {
  const std::map<std::string, Truth> all_truths = read_truths();
  const std::vector<Rule> all_rules = rules();
  std::vector<Count> counts(all_rules.size());
  std::vector<std::vector<std::string>> fresh;
  for (const Setup& setup : setups()) {
    for (const double factor : setup.coarsening) {
      const Solution solution = solve_setup(setup, factor);
      const std::string mesh = cells_of(solution.problem.mesh);
      for (const Reported& ours : reported(setup, solution)) {
        CAPTURE(setup.name, mesh, ours.quantity);
        const auto found = all_truths.find(key(setup, mesh, ours.quantity));
        REQUIRE(found != all_truths.end());
        const Truth& truth = found->second;
        for (std::size_t k = 0; k < counts.size(); ++k) {
          counts[k].add(truth, ours.value, all_rules[k].bar(ours));
        }
        fresh.push_back(row_of(setup, mesh, ours, truth));
      }
    }
  }
  CHECK(fresh.size() == all_truths.size());
  for (std::size_t k = 0; k < counts.size(); ++k) {
    fresh.push_back(counts[k].row(all_rules[k].name));
  }
  for (const auto& row : fresh) {
    print_row(row);
  }
  const std::vector<std::vector<std::string>> shown = table_rows(readme, "");
  REQUIRE(shown.size() == fresh.size());
  for (std::size_t k = 0; k < fresh.size(); ++k) {
    check_study_row(fresh[k], shown[k]);
  }
}

// Prints the rows of reference.csv behind "truth: ".
TEST_CASE("Error estimate: the true values are those of much finer meshes", "[truth]") {
  const std::map<std::string, Truth> all_truths = read_truths();
  for (const Setup& setup : setups()) {
    for (const double factor : setup.coarsening) {
      const Solution solution = solve_setup(setup, factor);
      const std::string mesh = cells_of(solution.problem.mesh);
      for (const auto& [quantity, truth] : truths_of(setup, solution)) {
        std::printf("truth: %s,%.9g,%.2g\n", key(setup, mesh, quantity).c_str(), truth.value,
                    truth.uncertainty);
        std::fflush(stdout);
        const auto stored = all_truths.find(key(setup, mesh, quantity));
        CAPTURE(setup.name, mesh, quantity, truth.value);
        CHECK(stored != all_truths.end());
        if (stored != all_truths.end() && std::isfinite(truth.value)) {
          const double allowed = quantity == mean_rise ? stored->second.uncertainty
                                                       : 1e-4 * std::abs(stored->second.value);
          CHECK_THAT(truth.value, Catch::Matchers::WithinAbs(stored->second.value, allowed));
        }
      }
    }
  }
}
