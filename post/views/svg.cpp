#include "post/views/svg.hpp"

#include "post/text/printable.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

namespace tiltfin {
namespace {

/// `place`: attributes that come first, each with a blank before it.
std::string element(const Drawing& drawing, const std::string& place) {
  return fmt::format(R"(<svg{0} xmlns="http://www.w3.org/2000/svg" )"
                     R"(xmlns:xlink="http://www.w3.org/1999/xlink" width="{1:.0f}" )"
                     R"(height="{2:.0f}" viewBox="0 0 {1:.0f} {2:.0f}" role="img" )"
                     R"(font-family="Helvetica, Arial, 'DejaVu Sans', sans-serif">)"
                     "\n<title>{3}</title>\n"
                     R"(<rect width="{1:.0f}" height="{2:.0f}" fill="#ffffff"/>)"
                     "\n{4}</svg>\n",
                     place, drawing.width, drawing.height, xml_escaped(drawing.title),
                     drawing.body);
}

/// Of a letter in its size: about those of DejaVu Sans, which is wider than Helvetica and Arial,
/// letters of like width together at the widest of them (from memory).
double letter_width(unsigned char byte, unsigned char next) {
  struct Width {
    const char* letters;
    double width;
  };
  constexpr std::array<Width, 8> widths{{{"ijlI'", 0.30},
                                         {" .,:;|", 0.34},
                                         {"!f/()[]-tr\"", 0.46},
                                         {"ckszJ_^*", 0.58},
                                         {"vxyaeoLTFY", 0.62},
                                         {"ABCEKPRSVXZ", 0.70},
                                         {"GHNODQU&w+=<>~", 0.84},
                                         {"mMW%@", 1.0}}};
  const auto found = std::ranges::find_if(widths, [byte](const Width& width) {
    return std::string_view(width.letters).find(static_cast<char>(byte)) != std::string_view::npos;
  });
  if (found != widths.end()) {
    return found->width;
  }
  constexpr double others = 0.64; // digits, and letters with a bow
  constexpr double foreign = 0.84;
  if (byte < 0x80U) {
    return others;
  }
  const bool is_small = byte == 0xC2U && (next == 0xB0U || next == 0xB2U || next == 0xB7U); // ° ² ·
  return is_small ? 0.5 : foreign;
}

} // namespace

std::string xml_escaped(const std::string& text) {
  std::string escaped;
  for (const char c : printable(text)) {
    switch (c) {
    case '&':
      escaped += "&amp;";
      break;
    case '<':
      escaped += "&lt;";
      break;
    case '>':
      escaped += "&gt;";
      break;
    case '"':
      escaped += "&quot;";
      break;
    default:
      if (static_cast<unsigned char>(c) >= 0x20) {
        escaped += c;
      }
    }
  }
  return escaped;
}

std::string svg_text(double x, double y, const std::string& text, const TextStyle& style) {
  const std::string turn =
      style.turn_deg == 0.0
          ? ""
          : fmt::format(R"x( transform="rotate({:g} {:.1f} {:.1f})")x", style.turn_deg, x, y);
  return fmt::format(
      R"(<text x="{:.1f}" y="{:.1f}" font-size="{:g}" text-anchor="{}" fill="{}"{}{}>{}</text>)"
      "\n",
      x, y, style.size, style.anchor, style.colour, style.is_bold ? R"( font-weight="600")" : "",
      turn, xml_escaped(text));
}

std::string svg_line(double x0, double y0, double x1, double y1, const char* colour,
                     double thickness, const char* more) {
  return fmt::format(R"(<line x1="{:.1f}" y1="{:.1f}" x2="{:.1f}" y2="{:.1f}" stroke="{}" )"
                     R"(stroke-width="{:g}"{}/>)"
                     "\n",
                     x0, y0, x1, y1, colour, thickness, more);
}

std::string svg_file(const Drawing& drawing) {
  return R"(<?xml version="1.0" encoding="UTF-8"?>)"
         "\n" +
         element(drawing, "");
}

std::string svg_inside(const Drawing& drawing, double x, double y) {
  return element(drawing, fmt::format(R"( x="{:.0f}" y="{:.0f}")", x, y));
}

double text_width(const std::string& text, double size, bool is_bold) {
  double width = 0.0;
  for (std::size_t k = 0; k < text.size(); ++k) {
    const auto byte = static_cast<unsigned char>(text[k]);
    if ((byte & 0xC0U) != 0x80U) { // begins a letter in UTF-8
      width +=
          letter_width(byte, k + 1 < text.size() ? static_cast<unsigned char>(text[k + 1]) : 0);
    }
  }
  return size * width * (is_bold ? 1.1 : 1.0);
}

double round_below(double value) {
  const double power = std::pow(10.0, std::floor(std::log10(value)));
  const double lead = value / power;
  constexpr double slack = 1e-9; // so that 5 is not taken for a little less than 5
  if (lead >= 5.0 - slack) {
    return 5.0 * power;
  }
  return lead >= 2.0 - slack ? 2.0 * power : power;
}

std::vector<double> round_ticks(double low, double high, int wanted) {
  std::vector<double> ticks;
  if (!(high > low)) {
    return ticks;
  }
  const double step = round_below((high - low) / wanted);
  const double slack = 1e-6 * step;
  for (double k = std::ceil((low - slack) / step); k * step <= high + slack; k += 1.0) {
    ticks.push_back(k * step + 0.0); // no minus before zero
  }
  return ticks;
}

} // namespace tiltfin
