#pragma once
// What every validation case shares: its published values, the comparison, and the case file.
// Rows of the table in validation/README.md are printed here and compared with it.

#include "cases/file/case.hpp"
#include "post/numbers/balances.hpp"
#include "post/numbers/error_estimate.hpp"
#include "solver/steady.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <cstdio>
#include <fstream>
#include <functional>
#include <limits>
#include <map>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

namespace tiltfin::validation {

/// One line of a reference.csv: a value as printed by its source.
struct Reference {
  std::string quantity;
  std::string condition;
  std::string printed;
  double value = 0.0;
  std::string unit;
  double tolerance = 0.0; ///< relative
  std::string source;
  bool is_miss = false; ///< the note begins with "miss:": the difference is known to exceed
};

inline std::string folder(const std::string& name) {
  return "validation/" + name + "/";
}

/// Rows of validation/<name>/reference.csv; its columns are
/// quantity, condition, value, unit, tolerance (relative), source, note; no field holds a comma.
/// A note that begins with "miss:" gives the reason of a difference that exceeds its tolerance.
inline std::vector<Reference> read_reference(const std::string& name) {
  std::ifstream file(folder(name) + "reference.csv");
  REQUIRE(file.is_open());
  std::string line;
  std::getline(file, line);
  REQUIRE(line == "quantity,condition,value,unit,tolerance,source,note");
  std::vector<Reference> rows;
  while (std::getline(file, line)) {
    CAPTURE(line);
    std::vector<std::string> fields;
    std::istringstream stream(line + ",");
    for (std::string field; std::getline(stream, field, ',');) {
      fields.push_back(field);
    }
    REQUIRE(fields.size() == 7);
    rows.push_back({fields[0], fields[1], fields[2], std::stod(fields[2]), fields[3],
                    std::stod(fields[4]), fields[5], fields[6].rfind("miss:", 0) == 0});
  }
  REQUIRE_FALSE(rows.empty());
  return rows;
}

inline Case read_case_of(const std::string& name) {
  return read_case(folder(name) + "case.toml");
}

/// Solves the case's section with gravity of this size towards `down`, from rest or from `warm`.
inline Solution solve(const Case& the_case, const Section& section, const Vector3& down,
                      double gravity, const Solution* warm = nullptr) {
  NestedOptions options;
  options.examine_stability = false; // published steady flows, whatever their stability
  options.resolution = the_case.resolution;
  options.calm = the_case.calm;
  const AirRule air{the_case.air, the_case.room_temperature};
  Solution solution =
      solve_nested(section, {gravity * down[0], gravity * down[1], 0.0}, air, options, warm);
  REQUIRE(solution.report.status == SolveStatus::converged);
  return solution;
}

/// What we computed for one quantity, on the finest mesh and on half the cells each way (NaN: there
/// is no such value, and then no error bar).
struct Computed {
  double value = 0.0;
  double coarse = std::numeric_limits<double>::quiet_NaN();
  std::string mesh = "-";
  MeshPair pair;

  Computed(double the_value = 0.0, // a plain number is a value without an error bar
           double the_coarse = std::numeric_limits<double>::quiet_NaN(), std::string the_mesh = "-",
           const MeshPair& the_pair = {})
      : value(the_value), coarse(the_coarse), mesh(std::move(the_mesh)), pair(the_pair) {}

  /// Estimate of the discretisation error, by the rule of every reported number.
  [[nodiscard]] double error_bar() const { return discretisation_error(value, coarse, pair); }
};

/// "102 x 64": cells along x and y.
inline std::string cells_of(const TensorMesh& mesh) {
  return std::to_string(mesh.x.n()) + " x " + std::to_string(mesh.y.n());
}

using Quantities = std::map<std::string, double>;
using Measure = std::function<Quantities(const Problem&, const State&)>;

/// Measures a solution on its finest mesh, with error bars from the mesh of half the cells.
inline std::map<std::string, Computed> measured(const Solution& solution, const Measure& measure) {
  REQUIRE(solution.coarse_state.has_value());
  const Quantities fine = measure(solution.problem, solution.state);
  const Quantities coarse = measure(*solution.coarse_problem, *solution.coarse_state);
  std::map<std::string, Computed> both;
  for (const auto& [quantity, value] : fine) {
    both[quantity] = {value, coarse.at(quantity), cells_of(solution.problem.mesh),
                      mesh_pair(solution)};
  }
  return both;
}

inline std::string print(const char* format, double number) {
  char buffer[64];
  std::snprintf(buffer, sizeof buffer, format, number);
  return buffer;
}

/// The row of the table, field by field.
inline std::vector<std::string> fields_of(const std::string& name, const Reference& row,
                                          const Computed& ours) {
  const double percent = 100.0 / std::abs(ours.value);
  const bool has_bar = std::isfinite(ours.coarse);
  return {name,
          row.source,
          row.quantity,
          row.condition,
          row.printed,
          print("%.5g", ours.value),
          has_bar ? print("%.2f %%", percent * ours.error_bar()) : "-",
          print("%+.2f %%", 100.0 * (ours.value / row.value - 1.0)),
          print("%g %%", 100.0 * row.tolerance) + (row.is_miss ? " (miss)" : ""),
          ours.mesh};
}

inline void print_row(const std::vector<std::string>& fields) {
  for (const std::string& field : fields) {
    std::printf("| %s ", field.c_str());
  }
  std::printf("|\n");
}

/// Table rows of a README whose first field is `name` (empty: all), field by field; a table counts
/// when its second line begins with "| --- ".
inline std::vector<std::vector<std::string>> table_rows(const std::string& path,
                                                        const std::string& name) {
  std::ifstream file(path);
  REQUIRE(file.is_open());
  std::vector<std::vector<std::string>> rows;
  bool in_table = false;
  for (std::string line; std::getline(file, line);) {
    if (line.rfind("| --- ", 0) == 0) {
      in_table = true;
      continue;
    }
    if (!in_table || line.empty() || line[0] != '|') {
      in_table = false;
      continue;
    }
    std::vector<std::string> fields;
    std::istringstream stream(line.substr(1));
    for (std::string field; std::getline(stream, field, '|');) {
      fields.push_back(field.size() > 2 ? field.substr(1, field.size() - 2) : "");
    }
    if (name.empty() || fields[0] == name) {
      rows.push_back(fields);
    }
  }
  return rows;
}

/// Checks that a fresh row says what the table says, up to the last digit printed.
inline void check_row(const std::vector<std::string>& fresh,
                      const std::vector<std::string>& shown) {
  enum Field { published = 4, ours = 5, bar = 6, difference = 7, allowed = 8, mesh = 9 };
  REQUIRE(shown.size() == fresh.size());
  for (const std::size_t same : {0, 1, 2, 3, 4, 8, 9}) {
    CHECK(fresh[same] == shown[same]);
  }
  // Five digits of our value: a change of the last is rounding on another machine, more is not.
  CHECK_THAT(std::stod(fresh[ours]), Catch::Matchers::WithinRel(std::stod(shown[ours]), 2e-4));
  CHECK_THAT(std::stod(fresh[difference]),
             Catch::Matchers::WithinAbs(std::stod(shown[difference]), 0.03));
  CHECK((fresh[bar] == "-") == (shown[bar] == "-"));
  if (fresh[bar] != "-" && shown[bar] != "-") {
    const double value = std::stod(shown[bar]);
    CHECK_THAT(std::stod(fresh[bar]), Catch::Matchers::WithinAbs(value, 0.011 + 0.05 * value));
  }
}

/// Compares every row of validation/<name>/reference.csv with what `ours` gives for its quantity
/// and condition, prints the row as it stands in validation/README.md, and checks that the table
/// there has these rows and no others of this case.
inline void compare(const std::string& name,
                    const std::function<Computed(const std::string& quantity,
                                                 const std::string& condition)>& ours) {
  const std::vector<Reference> references = read_reference(name);
  const std::vector<std::vector<std::string>> shown = table_rows("validation/README.md", name);
  std::vector<std::vector<std::string>> fresh;
  for (const Reference& row : references) {
    const Computed computed = ours(row.quantity, row.condition);
    CAPTURE(row.source, row.quantity, row.condition, row.value, computed.value);
    const bool is_within = std::abs(computed.value / row.value - 1.0) <= row.tolerance;
    CHECK(is_within != row.is_miss); // a miss that is none any more must lose its note
    fresh.push_back(fields_of(name, row, computed));
    print_row(fresh.back());
  }
  REQUIRE(shown.size() == fresh.size());
  for (std::size_t k = 0; k < fresh.size(); ++k) {
    CAPTURE(k, fresh[k], shown[k]);
    check_row(fresh[k], shown[k]);
  }
}

} // namespace tiltfin::validation
