#include "cases/run/results.hpp"

#include "cases/file/shown.hpp"
#include "cases/file/solved_text.hpp"
#include "cases/file/stored.hpp"
#include "cases/input/whole_file.hpp"
#include "cases/run/restart.hpp"
#include "post/reports/summary.hpp"
#include "post/reports/why.hpp"
#include "post/text/text_file.hpp"
#include "post/views/fields.hpp"
#include "post/views/picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>
#include <system_error>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

bool is_same_case(const std::string& text, const Case& the_case, bool with_choice) {
  if (text == the_case.text) {
    return true;
  }
  try {
    return text_that_is_solved(parse_toml(text, "case.toml"), with_choice) ==
           text_that_is_solved(the_case.tree, with_choice);
  } catch (const InputError&) {
    return false; // damaged
  }
}

fs::path condition_file(const fs::path& directory, const std::string& id) {
  return directory / "conditions" / (id + ".json");
}

/// Refuses a directory where a file of results belongs, before hours are spent on them. Files of
/// added powers have names that are not known yet: any directory with the ending of one.
void check_places(const fs::path& directory) {
  for (const char* file :
       {"case.toml", "summary.csv", "summary.json", "trend.csv", "heat.csv", "fan.csv", "why.csv",
        "why.json", "tilts.csv", "shown.json", "fields.pvd", "report.html"}) {
    if (fs::is_directory(directory / file)) {
      refuse_directory(directory / file);
    }
  }
  for (const char* folder : {"conditions", "fields", "pictures", "sheets", "tilts"}) {
    for (const fs::path name : names_in(directory / folder)) {
      const fs::path entry = directory / folder / name;
      if (fs::is_directory(entry) && entry.has_extension()) {
        refuse_directory(entry);
      }
    }
  }
}

} // namespace

fs::path restart_file(const fs::path& directory, const std::string& id) {
  return directory / "conditions" / (id + ".restart");
}

fs::path state_file(const fs::path& directory, const std::string& id) {
  return directory / "conditions" / (id + ".state");
}

void claim_directory(const fs::path& directory, const Case& the_case, bool resume) {
  check_places(directory);
  const fs::path copy = directory / "case.toml";
  const bool has_copy = fs::exists(copy);
  if (has_copy || fs::exists(directory / "conditions")) {
    const std::string old =
        has_copy ? read_whole_file(copy, "the case of the results beside it") : "";
    if (!is_same_case(old, the_case, !resume)) {
      throw InputError(
          fmt::format("{}: holds results of another case (its case.toml differs from {} in more "
                      "than title, limit temperature, [bench]{}); choose another directory or "
                      "remove this one",
                      directory.string(), the_case.file,
                      resume ? ", [spacing] and the lists of conditions" : " and [spacing]"));
    }
  }
  const auto make = [](const fs::path& folder) {
    std::error_code error;
    fs::create_directories(folder, error);
    if (error) {
      throw WriteError(
          fmt::format("cannot make the directory {}: {}", folder.string(), error.message()));
    }
  };
  make(directory);
  write_text(copy, the_case.text); // before the folders: they belong to whose case is there
  for (const char* folder : {"conditions", "fields", "pictures", "sheets"}) {
    make(directory / folder);
  }
}

Case case_of_results(const fs::path& directory, const std::string& called) {
  const fs::path copy = directory / "case.toml";
  if (!fs::exists(copy)) {
    throw InputError(fmt::format("{}: found no case.toml in it, allowed a directory that `tiltfin "
                                 "solve` has written",
                                 called));
  }
  return read_case(copy.string());
}

std::optional<Outcome> finished_outcome(const fs::path& directory, const Case& the_case,
                                        const std::string& id) {
  const fs::path path = condition_file(directory, id);
  if (!fs::exists(path)) {
    return std::nullopt;
  }
  const std::string text =
      read_stored_json(path, crc32_of_case(the_case), "the result of a condition");
  try {
    return outcome_from_json(text);
  } catch (const std::runtime_error& error) {
    refuse_stored(path, fmt::format("found {}, allowed one of this version", error.what()));
  }
}

std::optional<Outcome> outcome_or_remark(const fs::path& directory, const Case& the_case,
                                         const std::string& id, Remarks& remarks,
                                         const char* is_done) {
  try {
    return finished_outcome(directory, the_case, id);
  } catch (const StoredInputError& error) {
    remarks.add(fmt::format("{}: {}", error.found, is_done));
    return std::nullopt;
  }
}

std::string fault_of_fields(const fs::path& directory, const Case& the_case,
                            const std::string& id) {
  const fs::path path = directory / "fields" / (id + ".vtr");
  if (!fs::exists(path)) {
    return "";
  }
  try {
    (void)read_stored_bytes(path, crc32_of_case(the_case), "fields of a condition");
  } catch (const StoredInputError& error) {
    return error.found;
  }
  return "";
}

void write_condition(const fs::path& directory, const Case& the_case, const std::string& id,
                     const Section& section, const Solution& reported, const Outcome& outcome) {
  write_fields(directory / "fields" / (id + ".vtr"), section, reported, outcome,
               crc32_of_case(the_case));
  write_text(directory / "pictures" / (id + ".svg"),
             svg_file(picture(section, seen_flow(reported), outcome)));
  write_outcome(directory, the_case, id, outcome); // last: marks it finished
}

void write_outcome(const fs::path& directory, const Case& the_case, const std::string& id,
                   const Outcome& outcome) {
  write_stored_json(condition_file(directory, id), outcome_to_json(outcome),
                    crc32_of_case(the_case));
}

namespace {

/// A file that opens all fields in a VTK reader, one after another in the order of the rows: an XML
/// file of VTK whose type is Collection. Names of conditions are those of files, and need no marks.
std::string fields_collection(const fs::path& directory, std::span<const Outcome> outcomes) {
  std::string text = "<?xml version=\"1.0\"?>\n<VTKFile type=\"Collection\" version=\"0.1\">\n"
                     "<Collection>\n";
  int number = 0;
  for (const Outcome& outcome : outcomes) {
    const std::string id = condition_id(outcome.panel, outcome.orientation, outcome.power_w);
    if (fs::exists(directory / "fields" / (id + ".vtr"))) {
      text +=
          fmt::format("<DataSet timestep=\"{}\" part=\"0\" name=\"{}\" file=\"fields/{}.vtr\"/>\n",
                      number++, id, id);
    }
  }
  return text + "</Collection>\n</VTKFile>\n";
}

} // namespace

void write_tables(const fs::path& directory, const Case& the_case,
                  std::span<const Outcome> outcomes, std::span<const TrendRow> trends,
                  const ReportContext& context) {
  const std::string case_crc32 = crc32_of_case(the_case);
  write_text(directory / "summary.csv", summary_csv(outcomes));
  write_stored_json(directory / "summary.json", summary_json(outcomes, trends, context),
                    case_crc32);
  write_text(directory / "trend.csv", trend_csv(trends));
  write_text(directory / "heat.csv", heat_csv(outcomes));
  if (std::ranges::any_of(outcomes, [](const Outcome& outcome) { return !outcome.fan.empty(); })) {
    write_text(directory / "fan.csv", fan_csv(outcomes));
    keep_shown(directory, {"fan.csv"});
  } else {
    std::error_code error;
    fs::remove(directory / "fan.csv", error); // of an earlier choice
  }
  const std::vector<Why> whys = explain(outcomes, trends, context);
  write_text(directory / "why.csv", why_csv(whys));
  write_text(directory / "fields.pvd", fields_collection(directory, outcomes));
  write_stored_json(directory / "why.json", why_json(whys), case_crc32);
}

} // namespace tiltfin
