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

/// What the README says is counted.
struct Count {
  int judged = 0;
  int covered = 0;
  int wide = 0;
  std::vector<double> ratios; ///< estimate / error

  void add(const Truth& truth, const Computed& ours) {
    const double error = std::abs(ours.value - truth.value);
    const double bar = ours.error_bar();
    if (std::max(error, bar) < 3.0 * truth.uncertainty) {
      return;
    }
    ++judged;
    covered += error <= bar ? 1 : 0;
    wide += bar > 5.0 * error && bar > 0.01 * std::abs(ours.value) ? 1 : 0;
    ratios.push_back(bar / error);
  }

  /// The last row of the table.
  [[nodiscard]] std::vector<std::string> row() const {
    std::vector<double> sorted = ratios;
    std::sort(sorted.begin(), sorted.end());
    const double median = sorted[sorted.size() / 2];
    const auto verdict = [](bool holds) { return std::string(holds ? "" : " (miss)"); };
    return {"all",
            std::to_string(judged) + " pairs judged",
            "",
            "",
            std::to_string(covered) + " covered" + verdict(10 * covered >= 9 * judged),
            print("median %.2f", median) + verdict(median <= 5.0),
            std::to_string(wide) + " wide" + verdict(10 * wide <= judged)};
  }
};

std::vector<std::string> row_of(const Setup& setup, const std::string& quantity,
                                const Computed& ours, const Truth& truth) {
  const double percent = 100.0 / std::abs(ours.value);
  const double error = ours.value - truth.value;
  const bool has_bar = std::isfinite(ours.coarse);
  return {setup.name,
          ours.mesh,
          quantity,
          print("%.5g", ours.value),
          has_bar ? print("%.3f %%", percent * ours.error_bar()) : "-",
          print("%+.3f %%", percent * error),
          has_bar ? print("%.2f", ours.error_bar() / std::abs(error)) : "-"};
}

/// Fails when a row of the README is not what was computed, apart from its last digits.
void check_study_row(const std::vector<std::string>& fresh, const std::vector<std::string>& shown) {
  CAPTURE(fresh, shown);
  REQUIRE(shown.size() == fresh.size());
  if (fresh[0] == "all") {
    CHECK(fresh == shown);
    return;
  }
  for (const std::size_t same : {0, 1, 2}) {
    CHECK(fresh[same] == shown[same]);
  }
  CHECK_THAT(std::stod(fresh[3]), Catch::Matchers::WithinRel(std::stod(shown[3]), 2e-4));
  CHECK((fresh[4] == "-") == (shown[4] == "-"));
  for (const std::size_t percent : {4, 5}) {
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
  Count count;
  std::vector<std::vector<std::string>> fresh;
  for (const Setup& setup : setups()) {
    for (const double factor : setup.coarsening) {
      const Solution solution = solve_setup(setup, factor);
      if (!solution.coarse_state) { // no estimate, so nothing to judge
        for (const auto& [quantity, value] : setup.measure(solution.problem, solution.state)) {
          const std::string mesh = cells_of(solution.problem.mesh);
          const Truth& truth = all_truths.at(key(setup, mesh, quantity));
          fresh.push_back(row_of(setup, quantity, {value, Estimate{}.error, mesh}, truth));
        }
        continue;
      }
      for (const auto& [quantity, ours] : measured(solution, setup.measure)) {
        const Truth& truth = all_truths.at(key(setup, ours.mesh, quantity));
        count.add(truth, ours);
        fresh.push_back(row_of(setup, quantity, ours, truth));
      }
    }
  }
  CHECK(fresh.size() == all_truths.size());
  fresh.push_back(count.row());
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
      const Solution finer = solve_setup(setup, setup.reference, &solution);
      for (const auto& [quantity, value] : measured(finer, setup.measure)) {
        const double step = (value.value - value.coarse) / 3.0; // second order
        const Truth truth{value.value + step, std::abs(step)};
        std::printf("truth: %s,%.9g,%.2g\n", key(setup, mesh, quantity).c_str(), truth.value,
                    truth.uncertainty);
        const auto stored = all_truths.find(key(setup, mesh, quantity));
        CAPTURE(setup.name, mesh, quantity, truth.value);
        CHECK(stored != all_truths.end());
        if (stored != all_truths.end()) {
          CHECK_THAT(truth.value, Catch::Matchers::WithinRel(stored->second.value, 1e-4));
        }
      }
    }
  }
}
