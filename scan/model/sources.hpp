#pragma once
/// Where the figures of a scan and its log come from.

#include <cstdint>
#include <string>

#include "scan/model/fields.hpp"

namespace flitchwise {

/// Of a bark thickness.
struct BarkSource {
  enum class Kind {
    all_species,   ///< mean over all published equations, as the species is not known
    given,         ///< by the person
    ends,          ///< measured at the ends in the scan
    equations,     ///< of the species
    volume_share,  ///< the bark's share of the volume of that species, USDA Forest Service
  };
  Kind kind = Kind::all_species;
  int equations = 0;     ///< that were averaged
  std::string species;   ///< its name in the table
  std::string citation;  ///< of the first equation of the species
  bool operator==(const BarkSource&) const = default;
};
FLITCHWISE_FIELDS(BarkSource, kind, equations, species, citation)

/// Of a green density, USDA Forest Service.
struct DensitySource {
  std::string species;  ///< its name in the table; empty: the mean over all of them
  int averaged = 0;     ///< species, where it is the mean
  bool operator==(const DensitySource&) const = default;
};
FLITCHWISE_FIELDS(DensitySource, species, averaged)

/// Of a shrinkage, USDA Wood Handbook, FPL-GTR-190, Table 4-3.
struct ShrinkageSource {
  enum class Read { in_table, in_second_text, from_memory };  ///< the last: checked in no text
  std::string species;  ///< its name in the table; empty: the largest of all, as the species is not known
  Read read = Read::in_table;
};
FLITCHWISE_FIELDS(ShrinkageSource, species, read)

namespace scan {

/// What a scan's file is.
struct FileFormat {
  enum class Kind { unknown, ply, pcd, las, e57, xyz, obj, stl, gltf, depth_images, several };
  enum class Coding { plain, ascii, binary, little_endian, big_endian, compressed };
  Kind kind = Kind::unknown;  ///< several: of files that were merged
  Coding coding = Coding::plain;
  std::string version = {};        ///< "1.4", where it matters
  std::uint64_t triangles = 0;     ///< of a mesh; 0: points
  std::uint64_t parts = 1;         ///< scans of an E57 file, depth images of a folder
  std::uint64_t without_pose = 0;  ///< more depth images, which were left out
  bool operator==(const FileFormat&) const = default;
};
FLITCHWISE_FIELDS(FileFormat, kind, coding, version, triangles, parts, without_pose)

/// What settled the scale.
struct ScaleSource {
  enum class Kind { unsettled, taken_as_metres, given_unit, file_format, tape, points };
  Kind kind = Kind::unsettled;
  FileFormat::Kind format = FileFormat::Kind::unknown;  ///< of file_format, which defines its unit
  double length_m = 0;                                  ///< of tape: of the log; of points: between the two
};
FLITCHWISE_FIELDS(ScaleSource, kind, format, length_m)

/// Who said which way is up.
struct UpSource {
  enum class Kind {
    unsettled,
    given,          ///< by the person
    file_format,    ///< which defines it
    ground,         ///< the axis of the file nearest to its normal
    ground_itself,  ///< its normal: no axis of the file is near to it
    assumed,        ///< the scan shows no ground
  };
  Kind kind = Kind::unsettled;
  std::string axis = {};                                ///< of the file that points up: "+z"
  FileFormat::Kind format = FileFormat::Kind::unknown;  ///< of file_format
  bool operator==(const UpSource&) const = default;
};
FLITCHWISE_FIELDS(UpSource, kind, axis, format)

}  // namespace scan
}  // namespace flitchwise
