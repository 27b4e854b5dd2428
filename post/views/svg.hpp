#pragma once
// Small pieces of SVG text, shared by the drawings. Lengths in px of the page, y down.

#include <string>
#include <vector>

namespace tiltfin {

/// The colours of text and lines in every drawing.
inline constexpr const char* ink = "#26262e";
inline constexpr const char* soft_ink = "#5a5a66"; ///< what stands behind
inline constexpr const char* grid_ink = "#e4e4ea"; ///< lines of a chart's ticks

/// Text with the characters that XML reserves replaced, and control characters left out.
[[nodiscard]] std::string xml_escaped(const std::string& text);

struct TextStyle {
  double size = 12.0;           ///< [px]
  const char* anchor = "start"; ///< start, middle or end
  const char* colour = ink;
  bool is_bold = false;
  double turn_deg = 0.0; ///< clockwise about the text's own position
};

[[nodiscard]] std::string svg_text(double x, double y, const std::string& text,
                                   const TextStyle& style = {});

/// `more`: further attributes, each with a blank before it.
[[nodiscard]] std::string svg_line(double x0, double y0, double x1, double y1, const char* colour,
                                   double thickness = 1.2, const char* more = "");

/// A drawing before it is a file or part of another drawing.
struct Drawing {
  double width = 0.0;  ///< [px]
  double height = 0.0; ///< [px]
  std::string title;   ///< for screen readers
  std::string body;    ///< SVG, on a white ground
};

/// The drawing as a file of its own.
[[nodiscard]] std::string svg_file(const Drawing& drawing);

/// The drawing as an element of another, its upper left corner at a place of that one's page.
[[nodiscard]] std::string svg_inside(const Drawing& drawing, double x, double y);

/// Width of sans-serif text of a size [px]: that of the widest font that drawings may come out in.
[[nodiscard]] double text_width(const std::string& text, double size, bool is_bold = false);

/// Round numbers (1, 2 or 5 times a power of ten apart) from `low` to `high`, about `wanted` many.
[[nodiscard]] std::vector<double> round_ticks(double low, double high, int wanted);

/// Largest 1, 2 or 5 times a power of ten that does not exceed `value` (positive).
[[nodiscard]] double round_below(double value);

} // namespace tiltfin
