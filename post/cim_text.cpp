#include "post/cim_text.h"

#include <fmt/format.h>

#include <array>

#include "post/text_lines.h"

namespace polepitch {
namespace {

/// A name-based identifier: two 64-bit FNV-1a sums in the form of a UUID of version 8 (RFC 9562).
std::string named(const std::string& text) {
  std::array<unsigned long long, 2> sums = {14695981039346656037ull, 0x9e3779b97f4a7c15ull};
  for (unsigned char c : text)
    for (unsigned long long& sum : sums) sum = (sum ^ c) * 1099511628211ull;
  return fmt::format("{:08x}-{:04x}-8{:03x}-{:04x}-{:012x}", sums[0] >> 32, (sums[0] >> 16) & 0xffff, sums[0] & 0xfff,
                     0x8000 | ((sums[1] >> 48) & 0x3fff), sums[1] & 0xffffffffffffull);
}

}  // namespace

std::string cim_identifier(const CircuitModel& model, const std::string& type) {
  return named(model.machine + model.title +
               (type == "SynchronousMachine" || type == "AsynchronousMachine" ? "" : type));
}

std::string cim_head(const CircuitModel& model, const std::string& remark) {
  return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!--\n" +
         commented("  ", xml_escaped(circuit_conventions(model))) + commented("  ", xml_escaped(remark)) +
         "-->\n<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\" "
         "xmlns:cim=\"http://iec.ch/TC57/CIM100#\">\n";
}

std::string cim_object(const CircuitModel& model, const std::string& type) {
  const std::string id = cim_identifier(model, type);
  return fmt::format(
      "  <cim:{} rdf:about=\"urn:uuid:{}\">\n    <cim:IdentifiedObject.mRID>{}</cim:IdentifiedObject."
      "mRID>\n    <cim:IdentifiedObject.name>{}</cim:IdentifiedObject.name>\n",
      type, id, id, xml_escaped(model.title.empty() ? model.machine : model.title));
}

}  // namespace polepitch
