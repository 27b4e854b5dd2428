# Makes files into a C++ source that holds them byte by byte (post/page/assets.hpp):
#   cmake -DOUT=... -DSTYLE=... -DSCRIPT=... -DLIBRARY=... -DVERSION=... -P post/page/embed.cmake
cmake_minimum_required(VERSION 3.25)
set(text "#include \"post/page/assets.hpp\"\n\n#include <iterator>\n\nnamespace tiltfin {\nnamespace {\n")
foreach(part style script library)
  string(TOUPPER ${part} file)
  file(READ ${${file}} bytes HEX)
  if(bytes STREQUAL "")
    message(FATAL_ERROR "embed: ${${file}} is empty")
  endif()
  string(REGEX REPLACE "(..)" "0x\\1," bytes "${bytes}")
  string(APPEND text "constexpr unsigned char ${part}_bytes[] = {${bytes}};\n")
endforeach()
string(APPEND text "\ntemplate <class Bytes>\nstd::string text_of_bytes(const Bytes& bytes) {\n"
  "  return {std::begin(bytes), std::end(bytes)};\n}\n\n} // namespace\n\n")
foreach(function_of page_style:style page_script:script chart_library:library)
  string(REPLACE ":" ";" pair ${function_of})
  list(GET pair 0 function)
  list(GET pair 1 part)
  string(APPEND text "const std::string& ${function}() {\n"
    "  static const std::string text = text_of_bytes(${part}_bytes);\n  return text;\n}\n\n")
endforeach()
string(APPEND text "const std::string& program_version() {\n"
  "  static const std::string text = \"${VERSION}\";\n  return text;\n}\n\n} // namespace tiltfin\n")
file(WRITE ${OUT} "${text}")
