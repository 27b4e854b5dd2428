#include "post/fits/groups.hpp"
#include "post/page/glyph.hpp"
#include "post/page/html.hpp"
#include "post/page/parts.hpp"
#include "post/reports/choices.hpp"
#include "post/reports/table_parts.hpp"
#include "post/views/svg.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

std::string limit_w(const TrendRow& row) {
  const std::string standing = name(row.limit.standing);
  return show_limit(row.limit) + " W" + (row.limit.is_starred() ? " (extrapolated)" : "") +
         (standing.empty() ? "" : " (" + standing + ")");
}

std::string best_and_poorest(const PageResults& results, const TrendRow& best,
                             const TrendRow& poorest) {
  const CoreLimit& core = results.context.core;
  std::string text = fmt::format(
      "This cooler takes most heat away when it stands {}: {} before the limit of "
      "{:g} °C {} is reached in a room of {:g} °C.",
      place_name(results, best.panel, best.orientation), limit_w(best), core.limit_temperature_c,
      core.core_to_base_k_per_w > 0.0 ? "at the core" : "at the base", core.room_temperature_c);
  if (&best == &poorest) {
    return text;
  }
  if (is_too_close(best.limit.power_w, poorest.limit.power_w)) {
    return text + " The other ways to stand are too close to tell apart: the error bars overlap.";
  }
  return text + fmt::format(" It takes least {}: {}, {:.0f} % less.",
                            place_name(results, poorest.panel, poorest.orientation),
                            limit_w(poorest),
                            100.0 * (1.0 - poorest.limit.power_w.value / best.limit.power_w.value));
}

/// "What turning costs: ...".
std::string turning_text(const std::vector<const TrendRow*>& rows) {
  std::vector<TurnedLimit> limits;
  limits.reserve(rows.size());
  for (const TrendRow* row : rows) {
    limits.push_back({row->panel, row->orientation, row->limit.power_w.value});
  }
  std::vector<std::string> sentences = unwrapped_items(turning_costs(limits));
  if (sentences.empty()) {
    return "";
  }
  for (std::string& sentence : sentences) {
    sentence = sentence.substr(0, sentence.size() - 1); // its full stop
  }
  return fmt::format("Panel {}.", fmt::join(sentences, ". Panel "));
}

/// The sentence on the poorest place against the best of its panel state; null: none.
const Why* why_poorest(const PageResults& results, const TrendRow& poorest) {
  const auto found = std::ranges::find_if(results.whys, [&](const Why& why) {
    return placing_of(why) == placing_of(poorest) && why.than_panel == why.panel;
  });
  return found == results.whys.end() ? nullptr : &*found;
}

/// The change of a place that gains most, with or without turning it, as a sentence part; "".
std::string largest_gain(const Json& place, bool turns) {
  const Json* best = nullptr;
  for (const Json& lever : place.at("levers").items()) {
    const bool is_turn = lever.at("lever").text() == "orientation";
    if (is_turn == turns && lever.at("verdict").text() == "helps" &&
        (best == nullptr || lever.at("gain_w").number() > best->at("gain_w").number())) {
      best = &lever;
    }
  }
  if (best == nullptr) {
    return "";
  }
  const bool is_panel = best->at("lever").text() == "panel";
  return fmt::format("{}{}, +{} W", is_panel ? "panel " : "", best->at("change").text(),
                     with_error(best->at("gain_w").number(), best->at("gain_error_w").number()));
}

/// Of the poorest place, from levers.json.
std::string help_text(const PageResults& results) {
  if (!results.levers || results.levers->at("places").items().empty()) {
    return "";
  }
  const Json& place = results.levers->at("places").items().front();
  const std::string who =
      place_name(results, place.at("panel").text(), place.at("orientation").text());
  const std::string turning = largest_gain(place, true);
  const std::string other = largest_gain(place, false);
  if (turning.empty() && other.empty()) {
    return fmt::format("No single change that was tried helps {}.", who);
  }
  if (turning.empty()) {
    return fmt::format("For {}: {}.", who, other);
  }
  return fmt::format("For {}, most of all to turn it: {}. {}", who, turning,
                     other.empty() ? "No other change that was tried helps."
                                   : "Left as it lies: " + other + ".");
}

/// Where no levers were tried.
std::string turning_gain(const PageResults& results, const TrendRow& best,
                         const TrendRow& poorest) {
  if (&best == &poorest || is_too_close(best.limit.power_w, poorest.limit.power_w)) {
    return "";
  }
  const Estimate gain{best.limit.power_w.value - poorest.limit.power_w.value,
                      std::hypot(best.limit.power_w.bar(), poorest.limit.power_w.bar())};
  return fmt::format("Standing it {} instead of {} is worth {}; which other changes would help, "
                     "tiltfin levers finds out.",
                     place_name(results, best.panel, best.orientation),
                     place_name(results, poorest.panel, poorest.orientation), with_unit(gain, "W"));
}

/// A large number with its sketch.
std::string figure_of(const PageResults& results, const TrendRow& row, const TrendRow& best,
                      const char* label, const char* css_class) {
  const double share = 100.0 * row.limit.power_w.value / best.limit.power_w.value;
  return fmt::format(
      R"(<div class="verdict {}">{}<div><span class="label">{}</span><strong>{} W</strong>)"
      R"(<span>{}</span><span class="gauge"><span style="width:{:.1f}%"></span></span></div></div>)"
      "\n",
      css_class, orientation_glyph(row.orientation), label, xml_escaped(show_limit(row.limit)),
      xml_escaped(place_name(results, row.panel, row.orientation)), std::clamp(share, 0.0, 100.0));
}

std::string labelled(const char* label, const std::string& text) {
  return text.empty() ? "" : fmt::format("<p><b>{}</b> {}</p>\n", label, xml_escaped(text));
}

} // namespace

std::string answer_part(const PageResults& results) {
  const std::vector<const TrendRow*> rows = limited_trends(results);
  if (rows.empty()) {
    const std::string none =
        results.outcomes.empty() ? "" : "None of the conditions led to a power limit.";
    return paragraph(none) + paragraph(results.recommendation, "lead") +
           labelled("What would help.", help_text(results));
  }
  const TrendRow& best = *rows.front();
  const TrendRow& poorest = *rows.back();
  std::string text = R"(<div class="verdicts">)";
  text += figure_of(results, best, best, rows.size() > 1 ? "best" : "power limit", "good");
  if (rows.size() > 1) {
    text += figure_of(results, poorest, best, "poorest", "poor");
  }
  text += "</div>\n" + paragraph(best_and_poorest(results, best, poorest), "lead");
  text += labelled("What turning costs.", turning_text(rows));
  const Why* why = why_poorest(results, poorest);
  text += labelled("Why.", why == nullptr ? "" : "Panel " + why->sentence);
  const std::string help = help_text(results);
  return text +
         labelled("What would help.", help.empty() ? turning_gain(results, best, poorest) : help);
}

} // namespace tiltfin
