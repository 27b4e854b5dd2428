#include "post/reports/table_parts.hpp"
#include "post/reports/why.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <initializer_list>

namespace tiltfin {
namespace {

/// Two significant digits of the least of these amounts that is not zero.
int decimals_for(std::initializer_list<double> amounts) {
  constexpr int most = 3;
  double least = nan;
  for (const double amount : amounts) {
    least = amount != 0.0 ? std::fmin(least, std::abs(amount)) : least;
  }
  if (!std::isfinite(least)) {
    return 0;
  }
  return std::clamp(1 - static_cast<int>(std::floor(std::log10(least))), 0, most);
}

/// "0.033 instead of 1.918".
std::string both(double here, double there) {
  const int decimals = decimals_for({here, there, here - there});
  return fmt::format("{:.{}f} instead of {:.{}f}", here, decimals, there, decimals);
}

/// "41" from twenty on, "4.1" below.
std::string watts(double amount) {
  return std::abs(amount) < 20.0 ? fmt::format("{:.1f}", amount) : fmt::format("{:.0f}", amount);
}

/// Less than this is shown as nothing [K or W].
constexpr double least_shown = 0.05;

/// "+" or "-"; of what is shown as nothing "+".
const char* sign(double amount) {
  return amount <= -least_shown ? "-" : "+";
}

/// "+31.2 K, -95 W"; what there is of both.
std::string worth_text(double rise_k, double limit_w) {
  std::string text;
  if (std::isfinite(rise_k)) {
    text = fmt::format("{}{:.1f} K", sign(rise_k), std::abs(rise_k));
  }
  if (std::isfinite(limit_w)) {
    text += text.empty() ? "" : ", ";
    text += sign(limit_w) + watts(std::abs(limit_w)) + " W";
  }
  return text;
}

/// What drives the through-flow, where that goes with it; "" else.
std::string buoyancy_text(const Why& why, bool is_more) {
  const double here = why.fins_buoyancy_pa;
  const double there = why.than_fins_buoyancy_pa;
  const bool goes_with_it = is_more ? here > telling_buoyancy * std::max(there, 0.0)
                                    : there > telling_buoyancy * std::max(here, 0.0);
  return goes_with_it ? fmt::format(", driven between the fins by {} mPa of buoyancy",
                                    both(1e3 * here, 1e3 * there))
                      : "";
}

/// What a cause has done, in small letters, with both its numbers.
std::string clause(const CausePart& part, const Why& why) {
  const bool is_more = part.here > part.there;
  const std::string numbers = both(part.here, part.there);
  const char* more = is_more ? "more" : "less";
  switch (part.cause) {
  case Cause::feeding_air:
    return fmt::format("its air comes {}: {} °C", is_more ? "warmer" : "cooler", numbers);
  case Cause::through_flow:
    return fmt::format("{} air goes through the cooler: {} g/s{}", more, numbers,
                       buoyancy_text(why, is_more));
  case Cause::transfer:
    return fmt::format("heat passes {} from the surfaces to that air: {} K/W between them",
                       is_more ? "worse" : "better", numbers);
  case Cause::other_air:
    return fmt::format("{} heat goes to air that stands or passes by: {} W/K", more, numbers);
  case Cause::radiation:
    return fmt::format("it radiates {}: {} W/K, {:.0f} instead of {:.0f} % of the heat", more,
                       numbers, 100.0 * why.radiated_share, 100.0 * why.than_radiated_share);
  case Cause::other_paths:
    return fmt::format("{} leaves by other paths{}: {} W/K", more,
                       why.other_paths.empty() ? "" : " (" + why.other_paths + ")", numbers);
  case Cause::metal:
    return fmt::format("its metal conducts {}: {} K/W from base to surfaces",
                       is_more ? "worse" : "better", numbers);
  case Cause::not_closed:
    return fmt::format("{} of the heat stays open in the mean over time: {} %", more, numbers);
  case Cause::growth:
    return fmt::format("its rise grows {} with power: exponent {}", is_more ? "faster" : "slower",
                       numbers);
  case Cause::residual:
    break;
  }
  return "";
}

std::string with_worth(const CausePart& part, const Why& why) {
  return fmt::format("{} ({})", clause(part, why),
                     worth_text(part.rise_k.value, part.limit_w.value));
}

std::string capital(std::string text) {
  if (!text.empty()) {
    text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  }
  return text;
}

/// Of the larger rise or the larger limit, whichever is more.
double weight(const CausePart& part, const Why& why) {
  const double of_rise =
      std::abs(part.rise_k.value) / std::max(why.base_rise_k, why.than_base_rise_k);
  const double of_limit =
      std::abs(part.limit_w.value) / std::fmax(why.power_limit_w, why.than_power_limit_w);
  return std::fmax(of_rise, of_limit);
}

bool is_within_errors(const Why& why) {
  return std::abs(why.rise_k.value) <= why.rise_k.bar();
}

/// Towards the difference found: warmer when it is warmer. What has no part of the rise, by limits.
bool pulls_along(const CausePart& part, const Why& why) {
  const double warmer = std::isfinite(part.rise_k.value) ? part.rise_k.value : -part.limit_w.value;
  return warmer * why.rise_k.value > 0.0;
}

/// "on, flat-up: 25.7 K warmer at 40 W than upright, 83 W less limit".
std::string headline(const Why& why) {
  const bool is_turned = why.panel == why.than_panel;
  const std::string subject =
      is_turned ? why.panel + ", " + why.orientation : why.orientation + ", " + why.panel;
  const std::string& other = is_turned ? why.than_orientation : why.than_panel;
  const double limit = why.limit_w.value;
  if (is_within_errors(why)) {
    return fmt::format("{}: at {} W as warm as {} within the errors of the mesh ({})", subject,
                       why.power_w, other, worth_text(why.rise_k.value, limit));
  }
  std::string text =
      fmt::format("{}: {:.1f} K {} at {} W than {}", subject, std::abs(why.rise_k.value),
                  why.rise_k.value > 0.0 ? "warmer" : "cooler", why.power_w, other);
  if (std::isfinite(limit)) {
    text += fmt::format(", {} W {} limit", watts(std::abs(limit)), limit < 0.0 ? "less" : "more");
  }
  return text;
}

/// Those that stand in the sentences, largest first.
std::vector<const CausePart*> named_parts(const Why& why) {
  std::vector<const CausePart*> named;
  for (const CausePart& part : why.parts) {
    if (part.is_named) {
      named.push_back(&part);
    }
  }
  std::ranges::stable_sort(named, [&](const CausePart* a, const CausePart* b) {
    return weight(*a, why) > weight(*b, why);
  });
  return named;
}

/// " (largest: less air goes through the cooler: 1.76 instead of 1.92 g/s, +0.9 ±0.9 K)".
/// "" where none is worth anything.
std::string largest_part(const Why& why) {
  const auto part = std::ranges::max_element(why.parts, {}, [](const CausePart& one) {
    return std::isfinite(one.rise_k.value) ? std::abs(one.rise_k.value) : 0.0;
  });
  if (!(std::abs(part->rise_k.value) >= least_shown)) {
    return "";
  }
  const std::string bar =
      std::isfinite(part->rise_k.error) ? fmt::format(" ±{:.1f}", part->rise_k.error) : "";
  return fmt::format(" (largest: {}, {:+.1f}{} K{})", clause(*part, why), part->rise_k.value, bar,
                     bar.empty() ? ", its error is not known" : "");
}

/// What the parts that are not named add up to; "" where that is nothing.
std::string rest_sentence(const Why& why) {
  double rise = 0.0;
  double limit = 0.0;
  for (const CausePart& part : why.parts) {
    if (!part.is_named) {
      rise += std::isfinite(part.rise_k.value) ? part.rise_k.value : 0.0;
      limit += part.limit_w.value;
    }
  }
  const bool is_shown = std::abs(rise) >= least_shown || std::abs(limit) >= least_shown;
  return is_shown ? fmt::format(" All else together: {}.", worth_text(rise, limit)) : "";
}

} // namespace

void add_sentences(Why& why) {
  std::vector<const CausePart*> named = named_parts(why);
  why.sentence = headline(why);
  bool has_because = false;
  if (why.parts.empty()) {
    why.sentence += "; its heat could not be split into paths";
  } else if (named.empty()) {
    why.sentence += "; no reason stands out" + largest_part(why);
  } else if (!is_within_errors(why)) {
    const auto first = std::ranges::find_if(named, [&](const CausePart* part) {
      return std::isfinite(part->rise_k.value) && pulls_along(*part, why);
    });
    has_because = first != named.end();
    if (has_because) {
      why.sentence += ", because " + with_worth(**first, why);
      named.erase(first);
    } else {
      why.sentence += "; no single reason stands out";
    }
  }
  why.sentence += ".";
  why.paragraph = why.sentence;
  for (const CausePart* part : named) {
    const bool is_against = has_because && !pulls_along(*part, why);
    const std::string text = with_worth(*part, why);
    why.paragraph += " " + (is_against ? "But " + text : capital(text)) + ".";
  }
  if (std::ranges::any_of(why.parts, &CausePart::is_named)) {
    why.paragraph += rest_sentence(why);
  }
}

std::string why_section(std::span<const Why> whys) {
  if (whys.empty()) {
    return "";
  }
  const bool is_long = static_cast<int>(whys.size()) > most_paragraphs;
  std::string text = fmt::format("Why (+ K: warmer; + W: higher limit; {})\n",
                                 is_long ? "the rest of every paragraph in why.json"
                                         : "all parts and their errors in why.csv");
  for (const Why& why : whys) {
    text += wrapped("  ", is_long ? why.sentence : why.paragraph, 4);
  }
  return text + "\n";
}

} // namespace tiltfin
