// Parts that show what other files of the directory hold: drawings with their tables.
#include "post/page/figure.hpp"
#include "post/page/parts.hpp"
#include "post/views/svg.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace tiltfin {
namespace {

/// Drawings of a directory are embedded up to this size together [bytes]; the others stay where
/// they are. Chosen: the demo's take 6 MB, a page of 10 MB still opens at once.
constexpr std::size_t most_embedded = 6500000;

/// Rows of a study that a page still shows.
constexpr int most_study_rows = 2000;

/// Of animations together, beside that [bytes].
constexpr std::size_t most_moving = 3500000;

PageTable csv_numbers(const PageResults& results, const std::string& path,
                      const std::string& caption) {
  PageTable table = table_of_csv(text_of(results.files, path));
  table.caption = caption;
  table.has_filter = table.rows.size() > 12;
  return table;
}

/// A drawing with the table behind it; "" without the drawing.
std::string drawn_file(const PageResults& results, const std::string& svg, const std::string& csv,
                       const std::string& caption) {
  const std::string& text = text_of(results.files, svg);
  if (text.empty()) {
    return "";
  }
  PageFigure figure{
      .name = element_name(svg.substr(0, svg.rfind('.'))), .caption = caption, .svg = text};
  if (!csv.empty() && !text_of(results.files, csv).empty()) {
    figure.table = csv_numbers(results, csv, csv);
  }
  return figure_html(figure);
}

/// Paths that begin and end so, in their order.
std::vector<std::string> paths_like(const PageResults& results, const std::string& begin,
                                    const std::string& end) {
  std::vector<std::string> paths;
  for (const auto& [path, text] : results.files) {
    if (path.starts_with(begin) && path.ends_with(end)) {
      paths.push_back(path);
    }
  }
  return paths;
}

/// The power of "sheets/40w.svg" or "pictures/on_upright_40w.svg"; NaN: none.
double power_in_name(const std::string& path) {
  const std::size_t end = path.rfind("w.svg");
  const std::size_t begin = path.find_last_of("_/", end);
  if (end == std::string::npos || begin == std::string::npos) {
    return nan;
  }
  char* rest = nullptr;
  const std::string digits = path.substr(begin + 1, end - begin - 1);
  const double power = std::strtod(digits.c_str(), &rest);
  return rest != digits.c_str() && *rest == '\0' ? power : nan;
}

struct PagePicture {
  std::string path;
  bool is_embedded = false;
};

/// Drawings of one power.
struct PowerPictures {
  double power_w = nan;
  std::vector<PagePicture> pictures;
};

std::vector<PowerPictures> pictures_by_power(const PageResults& results) {
  std::vector<std::string> paths = paths_like(results, "sheets/", "w.svg");
  if (paths.empty()) {
    paths = paths_like(results, "pictures/", "w.svg");
  }
  std::vector<PowerPictures> all;
  for (const std::string& path : paths) {
    const double power = power_in_name(path);
    const auto known = std::ranges::find(all, power, &PowerPictures::power_w);
    if (std::isfinite(power) && known == all.end()) {
      all.push_back({power, {{path}}});
    } else if (std::isfinite(power)) {
      known->pictures.push_back({path});
    }
  }
  std::ranges::sort(all, {}, &PowerPictures::power_w);
  return all;
}

/// Those of the shown power first, then of those with most drawings, as long as they fit.
void choose_embedded(const PageResults& results, std::vector<PowerPictures>& all, double shown_w) {
  std::vector<PowerPictures*> order;
  order.reserve(all.size());
  for (PowerPictures& of_power : all) {
    order.push_back(&of_power);
  }
  std::ranges::stable_sort(order, [shown_w](const PowerPictures* a, const PowerPictures* b) {
    const bool is_first = a->power_w == shown_w;
    return is_first != (b->power_w == shown_w) ? is_first : a->pictures.size() > b->pictures.size();
  });
  std::size_t size = 0;
  for (PowerPictures* of_power : order) {
    for (PagePicture& picture : of_power->pictures) {
      const std::size_t own = text_of(results.files, picture.path).size();
      picture.is_embedded = size + own <= most_embedded;
      size += picture.is_embedded ? own : 0;
    }
  }
}

std::string picture_caption(const std::string& path, double power_w) {
  if (path.starts_with("sheets/")) {
    return fmt::format("Temperature and flow at {:g} W, every way to stand, on one scale of "
                       "temperature; gravity points down the page.",
                       power_w);
  }
  const std::string file = path.substr(path.find('/') + 1);
  std::string who = file.substr(0, file.rfind('_'));
  std::ranges::replace(who, '_', ' ');
  return fmt::format("{} at {:g} W: temperature and flow, gravity down the page.", who, power_w);
}

std::string power_figures(const PageResults& results, const PowerPictures& of_power) {
  std::string figures;
  std::string links;
  for (const PagePicture& picture : of_power.pictures) {
    if (picture.is_embedded) {
      figures +=
          drawn_file(results, picture.path, "", picture_caption(picture.path, of_power.power_w));
    } else {
      links += fmt::format(R"(<li><a href="{0}">{0}</a></li>)"
                           "\n",
                           xml_escaped(picture.path));
    }
  }
  if (of_power.pictures.size() > 1 && !figures.empty()) {
    figures = R"(<div class="grid">)" + figures + "</div>\n";
  }
  return links.empty() ? figures
                       : figures + paragraph("Not part of this page, which would be too large:") +
                             "<ul>\n" + links + "</ul>\n";
}

} // namespace

std::string pictures_part(const PageResults& results) {
  std::vector<PowerPictures> all = pictures_by_power(results);
  if (all.empty()) {
    return "";
  }
  double shown_w = common_power_w(results);
  if (std::ranges::find(all, shown_w, &PowerPictures::power_w) == all.end()) {
    shown_w = all.back().power_w;
  }
  choose_embedded(results, all, shown_w);
  std::vector<PageTab> tabs;
  std::size_t shown = 0;
  for (const PowerPictures& of_power : all) {
    shown = of_power.power_w == shown_w ? tabs.size() : shown;
    tabs.push_back({fmt::format("{:g} W", of_power.power_w), power_figures(results, of_power)});
  }
  return tabs_html("picture-power", "Power", tabs, shown);
}

std::string motion_part(const PageResults& results) {
  std::string text;
  std::size_t size = 0;
  for (const std::string& path : paths_like(results, "animations/", ".svg")) {
    size += text_of(results.files, path).size();
    const std::string name = path.substr(path.find('/') + 1, path.rfind('.') - path.find('/') - 1);
    const bool is_from_cold = name.ends_with("-from-cold");
    std::string who = name.substr(0, name.rfind(is_from_cold ? "-from-cold" : "-swaying"));
    std::ranges::replace(who, '_', ' ');
    const std::string what = is_from_cold ? "switched on cold" : "swaying";
    if (size > most_moving) {
      text += paragraph("Not part of this page, which would be too large: " + path);
      continue;
    }
    text += opening(
        fmt::format("{}, {}", who, what),
        drawn_file(results, path, path.substr(0, path.rfind('.')) + ".csv",
                   fmt::format("{}, {}: temperature and flow, over and over; gravity points down "
                               "the page. Close it to stop it.",
                               who, what)));
  }
  return text;
}

std::string turn_part(const PageResults& results) {
  std::string text;
  for (const std::string& path : paths_like(results, "pictures/tilts-", ".svg")) {
    text += drawn_file(results, path, "",
                       fmt::format("{}: power limit and rise against the angle, round the "
                                   "machine. Up is upright; turned counter-clockwise.",
                                   path.substr(path.find('/') + 1)));
  }
  if (!text_of(results.files, "tilts.csv").empty()) {
    text += opening("The numbers", table_html(csv_numbers(results, "tilts.csv", "Every angle")));
  }
  return text;
}

std::string compare_part(const PageResults& results) {
  return drawn_file(results, "compare.svg", "compare.csv",
                    "Rise against power: measured (discs) and computed (squares).") +
         drawn_file(results, "warm-up.svg", "compare-soaks.csv",
                    "Every log with the computed warm-up over it.");
}

std::string bench_part(const PageResults& results) {
  return drawn_file(results, "bench.svg", "bench.csv", "Measured rise against power, with fits.");
}

std::string ends_part(const PageResults& results) {
  if (!results.ends) {
    return "";
  }
  std::string text = paragraph(results.ends->at("sentence").text());
  text += drawn_file(results, "second-plane.svg", "ends.csv",
                     "The second plane, out of the section that is solved, and the limits.");
  std::vector<std::string> notes;
  for (const Json& note : results.ends->at("notes").items()) {
    notes.push_back(note.text());
  }
  return text + bullet_list(notes);
}

std::string spacing_part(const PageResults& results) {
  std::string text;
  for (const std::string& path : paths_like(results, "spacing", ".svg")) {
    text += drawn_file(results, path, path == "spacing.svg" ? "spacing.csv" : "",
                       "Rise against the gap between fins at fixed outer size.");
  }
  for (const std::string& path : paths_like(results, "gaps_", ".svg")) {
    text += drawn_file(results, path, "",
                       path.substr(0, path.rfind('.')) +
                           ": flow in a tighter gap, the best and a wider one.");
  }
  return text;
}

std::string rank_part(const PageResults& results) {
  return paragraph(results.recommendation) +
         drawn_file(results, "rank.svg", "rank.csv", "Power limits of the coolers compared.");
}

std::string study_part(const PageResults& results) {
  const std::string& rows = text_of(results.files, "study.csv");
  if (rows.empty()) {
    return "";
  }
  std::string text =
      drawn_file(results, "study.svg", "",
                 "Power limit against the cooler's metal: every variant; joined, what "
                 "no other beats in both.");
  text += opening("What each key is worth, all else equal",
                  table_html(csv_numbers(results, "effects.csv", "Mean and best power limits")));
  if (std::ranges::count(rows, '\n') > most_study_rows) {
    return text + paragraph(fmt::format("More than {} rows: study.csv has them.", most_study_rows));
  }
  return text +
         opening("Every variant", table_html(csv_numbers(results, "study.csv", "Every variant")));
}

} // namespace tiltfin
